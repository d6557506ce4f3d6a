"""The simulated student at a piano of its own, in a process of its own, on JACK.

    python -m tests.live.pupil NAME SPEC LOG

SPEC is JSON with the fields of `Student`, each time of its plan with the names of `Time`, and
its `basses` as pairs of bar and wrong bass. The
piano has a port `keys` for what is played and one `sound` for what it is told to play; that it
sends back, as some pianos do. LOG gets what was played, heard and meant, as JSON, again and
again. It goes on until it is killed.
"""

import json
import os
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from tests.live.student import GOOD, Student, Time
from tests.playing import WrongBass

PAUSE = 0.0005
LOGGED = 0.25
"""Seconds from log to log."""


def main() -> None:
    import rtmidi

    name, spec, log = sys.argv[1], json.loads(Path(sys.argv[2]).read_text()), Path(sys.argv[3])
    piano = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    piano.open_virtual_port("keys")
    # A second client of the same name would be given another.
    ears = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=f"ears of {name}")
    ears.open_virtual_port("sound")
    plan = [_time(one) for one in spec.pop("plan")]
    student = Student(**{**spec, "bars": tuple(spec["bars"])}, plan=plan)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    with suppress(OSError):
        os.nice(-15)
    logged = 0.0
    while True:
        now = time.perf_counter()
        while (message := ears.get_message()) is not None:
            raw = bytes(message[0])
            student.hear(time.perf_counter(), raw)
            piano.send_message(list(raw))
        for _, raw in student.due(now):
            piano.send_message(list(raw))
        if now - logged > LOGGED:
            logged = now
            _write(log, student)
        time.sleep(PAUSE)


def _time(fields: dict[str, Any]) -> Time:
    if not fields:
        return GOOD
    faults = tuple(WrongBass(bar, bass) for bar, bass in fields.pop("basses", []))
    bars = fields.pop("bars", None)
    return Time(faults, None if bars is None else tuple(bars), **fields)


def _write(log: Path, student: Student) -> None:
    found = {
        "heard": [(at, raw.hex()) for at, raw in student.heard],
        "sent": [(at, raw.hex()) for at, raw in student.sent],
        "truths": [(one.ratio, one.begins, one.written) for one in student.truths],
    }
    beside = log.with_suffix(".part")
    beside.write_text(json.dumps(found))
    beside.replace(log)


class Pupil:
    """The same, as its parent sees it."""

    def __init__(self, name: str, spec: dict[str, Any], folder: Path) -> None:
        path, self._log = folder / f"{name}.json", folder / f"{name}.log"
        path.write_text(json.dumps(spec))
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.live.pupil", name, str(path), str(self._log)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "ready\n"

    def log(self) -> dict[str, Any]:
        """What was played, heard and meant so far."""
        found: dict[str, Any] = json.loads(self._log.read_text())
        return found

    def kill(self) -> None:
        """It is over."""
        self.process.kill()
        self.process.communicate()


if __name__ == "__main__":
    main()
