"""A JACK server of the tests' own, and the command listening through it.

The server runs with JACK's dummy driver, which needs no sound card, under a name of its
own, so that it meets no server that a person is using.
"""

import os
import pty
import select
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

# One name for all runs: the system has places for eight servers, and one that was killed
# keeps its place until another of its name takes it.
SERVER = "evaluator-tests"
ENVIRONMENT = {"JACK_DEFAULT_SERVER": SERVER, "JACK_NO_AUDIO_RESERVATION": "1"}

# In real time where that is permitted, as the drivers of a piano have it.
COMMAND = ("jackd", "--realtime", "--name", SERVER)
DRIVER = ("-d", "dummy", "-r48000", "-p256")
PATIENT = ("--sync", "--timeout", "5000")
"""The server waits for a client that was not woken up in time, where it would else go on and
drop what the client sent. It waits for a dead one as well, and does not recover from that."""


class Jack:
    """`jackd`, started and always killed."""

    def __init__(self, log: Path) -> None:
        self._log = log
        asked = subprocess.run(["chrt", "-f", "10", "true"], stderr=subprocess.DEVNULL, check=False)
        self.real_time = asked.returncode == 0
        """Whether the transport comes before other work of the machine."""
        self.start()

    def start(self, *words: str) -> None:
        """Start it, again after a crash, or with further options."""
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(
                [*COMMAND, *words, *DRIVER],
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        try:
            wait_until(self._answers, "jackd does not answer")
        except AssertionError:
            self.kill()
            raise

    def _answers(self) -> bool:
        code = "import rtmidi; rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name='asking').delete()"
        words = [sys.executable, "-c", code]
        asked = subprocess.run(words, stderr=subprocess.DEVNULL, check=False)
        return asked.returncode == 0

    def kill(self) -> None:
        """As a crash would."""
        if self._process.poll() is None:
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()

    def stop(self) -> None:
        """In good order."""
        if self._process.poll() is None:
            os.killpg(self._process.pid, signal.SIGTERM)
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            self.kill()


def wait_until(there: Callable[[], bool], otherwise: str, *, seconds: float = 20.0) -> None:
    """Look again and again for something that has to come."""
    until = time.monotonic() + seconds
    while not there():
        assert time.monotonic() < until, otherwise
        time.sleep(0.02)


class Listening:
    """`evaluator listen`, or another command, on a terminal whose picture is being read."""

    def __init__(
        self,
        folder: Path,
        *words: str,
        term: str = "xterm-256color",
        command: str = "listen",
        columns: int = 80,
    ) -> None:
        self._master, slave = pty.openpty()
        self.folder = folder
        self.shown = b""
        """Everything that it wrote to its terminal."""
        self.process = subprocess.Popen(
            [sys.executable, "-m", "evaluator", command, *words],
            cwd=folder,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=os.environ | {"TERM": term, "COLUMNS": str(columns), "LC_ALL": "C.UTF-8"},
            start_new_session=True,
        )
        os.close(slave)
        self.on_read: Callable[[bytes], None] = lambda _: None
        """Called with each piece of the picture as it comes."""
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        while True:
            try:
                select.select([self._master], [], [])
                more = os.read(self._master, 65536)
            except OSError:  # the terminal was closed at the other end
                return
            if not more:
                return
            self.on_read(more)
            self.shown += more

    def waits_to_show(self, text: str, *, seconds: float = 20.0) -> None:
        """Until a text has been on the screen."""
        raw = text.encode()
        try:
            wait_until(lambda: raw in self.shown, f"never shown: {text}", seconds=seconds)
        except AssertionError as missing:
            shown = self.shown.decode(errors="replace")[-3000:]
            raise AssertionError(f"{missing}\n{shown}") from None

    def ends(self) -> int:
        """Wait for the end; its exit status."""
        status = self.process.wait(60)
        self._reader.join(5)
        return status

    def stop(self) -> int:
        """Ctrl-C, and wait for the end."""
        self.process.send_signal(signal.SIGINT)
        return self.ends()

    def kill(self) -> None:
        """Whatever is left of it."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self._reader.join(5)

    def take(self) -> bytes:
        """The one take that it saved."""
        (path,) = (self.folder / "recordings").glob("*.mid")
        return path.read_bytes()

    def journal(self) -> Path:
        """The journal that it is writing."""
        (path,) = (self.folder / "recordings").glob("*.journal")
        return path
