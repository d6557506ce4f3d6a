"""How soon is a take saved when far more was struck than anybody plays?

    python -m tests.bench.flood

A second process sends 15,000 notes through JACK, five every 10 ms, to a `listen` that follows
them; a moment after the last of them comes Ctrl-C. Prints how many notes are in the take that
was saved, and the seconds from Ctrl-C until it was there and until the program had ended,
report and all. Aims: every note, and saved within 2 s, on a machine that does nothing else.
"""

import os
import random
import signal
import tempfile
import time
from pathlib import Path
from typing import Final
from unittest.mock import patch

from evaluator.take.midi_file import read_take
from tests.bench.largest import lane
from tests.live.jack import ENVIRONMENT, PATIENT, Jack, Listening, wait_until
from tests.live.peer import Peer

NOTES: Final = 15_000
AT_ONCE: Final = 5
APART: Final = 0.010
"""Seconds from one five to the next."""
LONG: Final = 0.008
"""Seconds of a note."""
AIM: Final = 2.0


def flood(notes: int = NOTES) -> list[tuple[float, bytes]]:
    """Five keys at once, again and again."""
    choose = random.Random(1)
    rows = []
    for number in range(notes // AT_ONCE):
        at = 0.3 + APART * number
        for key in choose.sample(range(36, 97), AT_ONCE):
            rows += [(at, bytes((0x90, key, 64))), (at + LONG, bytes((0x80, key, 64)))]
    return sorted(rows, key=lambda row: row[0])


def measured(folder: Path) -> tuple[int, float, float]:
    """Notes in the take, seconds until it was saved, and until all was over."""
    (folder / "song.txt").write_text(lane(), encoding="utf-8")
    piano = Peer("piano", flood(), folder)
    listening = Listening(folder, "song.txt", "--port", "piano:keys", "--no-history")
    try:
        listening.waits_to_show("Listening to", seconds=60)
        piano.play()
        piano.wait()
        time.sleep(0.5)
        listening.process.send_signal(signal.SIGINT)
        asked = time.perf_counter()
        recordings = folder / "recordings"
        wait_until(lambda: any(recordings.glob("*.mid")), "not saved", seconds=300)
        saved = time.perf_counter() - asked
        listening.process.wait(600)
        ended = time.perf_counter() - asked
        return len(read_take(listening.take())), saved, ended
    finally:
        piano.kill()
        listening.kill()


def main() -> None:
    """Measure it once."""
    with tempfile.TemporaryDirectory() as name, patch.dict(os.environ, ENVIRONMENT):
        folder = Path(name)
        jack = Jack(folder / "jack.log")
        try:
            jack.stop()
            jack.start(*PATIENT)
            notes, saved, ended = measured(folder)
        finally:
            jack.stop()
    missed = " MISSED" if notes < NOTES or saved > AIM else ""
    print(
        f"{notes:,} of {NOTES:,} notes, saved after {saved:.2f} s{missed}; over after {ended:.1f} s"
    )


if __name__ == "__main__":
    main()
