"""Who looks after the process that records?

Starts it, reads its journal as it grows, and starts it again when it has ended by
itself: because the piano is gone, and then the new one waits for it to come back, or
because the library under it crashed.
"""

import os
import subprocess
import sys
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import IO, Final

from evaluator.errors import EvaluatorError
from evaluator.errors.system import reason
from evaluator.live.clock import host_clock
from evaluator.live.journal import Entry, LineSplitter, head
from evaluator.live.recorder import ENDED, UNWRITABLE, Task
from evaluator.live.rights import private
from evaluator.live.writer import lock

PATIENCE: Final = 2.0
"""Seconds that the recorder gets to end."""
SHORT_LIFE: Final = 0.2
"""Seconds; a recorder that ends sooner was not let down by a cable."""
TRIES: Final = 5


class CaptureError(EvaluatorError):
    """Nothing can be recorded any more; what was is in the journal."""


def _system(status: int) -> str:
    """Why the journal could not be written, by how the recorder ended."""
    number = UNWRITABLE.index(status)
    return reason(OSError(number, os.strerror(number)))


def _log() -> IO[bytes]:
    """A file of nobody's for what the recorder says; nothing keeps it where there is no room."""
    try:
        return tempfile.TemporaryFile()
    except OSError:
        return open(os.devnull, "r+b")


class Capture:
    """One take being recorded into a journal."""

    def __init__(self, task: Task, facts: dict[str, str]) -> None:
        """`facts` go into the journal's head. Raises `OSError` if it cannot be made."""
        self.journal = Path(task.journal)
        self.ended = False
        """The replay is over, and the recorder with it."""
        self._task = task
        self._splitter = LineSplitter()
        self._short = 0
        with open(self.journal, "xb", opener=private) as file:
            file.write(head(facts).encode())
        self._file = self.journal.open("rb")
        lock(self._file)
        self._file.seek(0, 2)
        self._log = _log()
        self._start()

    def _start(self) -> None:
        self._began = host_clock()
        self._process = subprocess.Popen(
            # -P: what lies in the folder where somebody happens to be is not to be run.
            [sys.executable, "-P", "-m", "evaluator.live.recorder", self._task.word()],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=self._log,
        )

    @property
    def log(self) -> int:
        """An open file for what native libraries have to say."""
        return self._log.fileno()

    def read(self) -> list[Entry]:
        """What has been written since the last time. Raises `CaptureError`."""
        entries = list(self._splitter.push(self._file.read()))
        status = self._process.poll()
        if status is not None and not self.ended:
            entries += self._splitter.push(self._file.read())
            self._after(status)
            if not self.ended and not (entries and entries[-1].kind == "gone"):
                # A crash has no last words.
                entries.append(Entry("gone", host_clock()))
        return entries

    def _after(self, status: int) -> None:
        """The recorder has ended by itself."""
        self._process.communicate()
        if status == ENDED:
            self.ended = True
            return
        self._short = self._short + 1 if host_clock() - self._began < SHORT_LIFE else 0
        if status in UNWRITABLE or self._short >= TRIES:
            self.ended = True
            why = _system(status) if status in UNWRITABLE else self._last_words()
            raise CaptureError(f"Nothing more can be recorded: {why}.")
        self._start()

    def _last_words(self) -> str:
        self._log.seek(0)
        said = self._log.read().decode("utf-8", errors="replace").strip().splitlines()
        return said[-1].rstrip(".") if said else "the recorder ends at once"

    def order(self, text: str) -> None:
        """Have the recorder do something; see there for what."""
        with suppress(OSError):  # the recorder is gone: the next `read` will tell
            assert self._process.stdin is not None
            self._process.stdin.write(f"{text}\n".encode())
            self._process.stdin.flush()

    def end(self) -> None:
        """Record no more. The journal is whole afterwards."""
        self.ended = True
        with suppress(OSError):
            if self._process.stdin is not None:
                self._process.stdin.close()
        try:
            self._process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._file.close()
        self._log.close()
