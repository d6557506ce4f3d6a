"""Pictures of a lesson at the piano for the README.

    python -m tests.bench.lesson_picture

A simulated student plays the demonstration song over JACK (Debian: jackd2) into the command on
terminals of three widths; the screen is drawn as it stands in the third time through, as SVG into
`docs/`. Takes three minutes.
"""

import os
import re
import tempfile
import time
from pathlib import Path

from tests.bench.live_picture import STEERING
from tests.bench.pictures import ROOT, drawn
from tests.live.jack import ENVIRONMENT, Jack, Listening
from tests.live.pupil import Pupil

WIDTHS = (60, 80, 140)
CHART = "charts/kettle_lane.txt"
PLAN: list[dict[str, object]] = [{"basses": [[2, "A"]]}, *[{}] * 20]
INTO = 5.0
"""Seconds into the third time through."""


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ.update(ENVIRONMENT, EVALUATOR_HISTORY=f"{name}/history")
        server = Jack(folder / "jackd.log")
        try:
            for width in WIDTHS:
                target = ROOT / "docs" / f"lesson-{width}.svg"
                page = last_page(lesson(folder, width))
                title = f"evaluator practise {CHART} --bars 5-8"
                target.write_text(drawn(page, title, columns=width), encoding="utf-8")
                print(target.relative_to(ROOT))
        finally:
            server.stop()


def lesson(folder: Path, width: int) -> bytes:
    """What the command writes to a terminal of so many columns."""
    spec = {
        "chart": (ROOT / CHART).read_text(encoding="utf-8"),
        "bars": [4, 5, 6, 7],
        "plan": PLAN,
        "manner": {"jitter_ms": 8.0, "spread_ms": 5.0},
    }
    pupil = Pupil("piano", spec, folder)
    words = (str(ROOT / CHART), "--port", "piano", "--bars", "5-8")
    program = Listening(folder, *words, command="practise", columns=width)
    try:
        program.waits_to_show("Second time", seconds=90)
        time.sleep(INTO)
    finally:
        program.kill()
        pupil.kill()
    return program.shown


def last_page(raw: bytes) -> str:
    """The last whole page: what stands between two erasings of the one before."""
    pages = re.split(rb"(?:\r?\x1b\[2K(?:\x1b\[1A)?)+", raw)
    whole = [page for page in pages if b"Second time" in page and b"Enter" in page]
    return STEERING.sub(b"", whole[-1]).decode().replace("\r", "")


if __name__ == "__main__":
    main()
