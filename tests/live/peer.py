"""A piano in a process of its own: plays notes into JACK and writes down when.

    python -m tests.live.peer NAME SCRIPT LOG

SCRIPT is JSON, a list of [seconds, bytes in hex]; LOG gets the host's time of each message
as it was sent, a line each. It begins once somebody listens, and stays when it is over,
until it is killed.
"""

import json
import os
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

PAUSE = 0.0005


def main() -> None:
    import rtmidi

    name, script, log = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    piano = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    piano.open_virtual_port("keys")
    _tell("ready")
    sys.stdin.readline()
    with suppress(OSError):  # the piano's own processor is not busy either
        os.nice(-15)
    start = time.perf_counter()
    with log.open("w", buffering=1) as file:
        for at, raw in json.loads(script.read_text()):
            while (left := start + at - time.perf_counter()) > 0:
                time.sleep(min(left, PAUSE))
            piano.send_message(bytes.fromhex(raw))
            file.write(f"{time.perf_counter():.6f} {raw}\n")
    _tell("done")
    time.sleep(600)


def _tell(word: str) -> None:
    sys.stdout.write(f"{word}\n")
    sys.stdout.flush()


class Peer:
    """The same, as its parent sees it."""

    def __init__(self, name: str, script: list[tuple[float, bytes]], folder: Path) -> None:
        path, self.log = folder / f"{name}.json", folder / f"{name}.log"
        path.write_text(json.dumps([(at, raw.hex()) for at, raw in script]))
        words = [sys.executable, "-m", "tests.live.peer", name, str(path), str(self.log)]
        self.process = subprocess.Popen(
            words,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "ready\n"

    def play(self) -> None:
        """Begin the script."""
        assert self.process.stdin is not None
        self.process.stdin.write("\n")
        self.process.stdin.flush()

    def wait(self) -> None:
        """Until the script is over."""
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "done\n"

    def sent(self) -> list[tuple[float, bytes]]:
        """Host times and messages that were sent."""
        rows = (line.split() for line in self.log.read_text().splitlines())
        return [(float(row[0]), bytes.fromhex(row[1])) for row in rows if len(row) == 2]

    def kill(self) -> None:
        """Pull the cable."""
        self.process.kill()
        self.process.communicate()


if __name__ == "__main__":
    main()
