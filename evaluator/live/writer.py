"""How does a message get where neither a crash nor a power cut can take it away?

Each line goes to the system at once, unbuffered, at the end of the file: from then on the
program may be killed. Once a second a thread of its own asks the system to bring the file
to the disk, which may take a while and must not keep the messages waiting.

While a journal is being written it is locked, so that another start of the program does
not take it for one that was left behind.
"""

import os
import threading
from contextlib import suppress
from pathlib import Path
from typing import IO

from evaluator.live.journal import Entry, line

SYNC = 1.0
"""Seconds of playing that a power cut may cost."""


class JournalWriter:
    """Adds lines to a journal file."""

    def __init__(self, path: Path) -> None:
        """Raises `OSError` if the file cannot be opened for writing."""
        self._file = path.open("ab", buffering=0)
        lock(self._file)
        self._dirty = threading.Event()
        self._done = threading.Event()
        self._syncing = threading.Thread(target=self._sync, daemon=True)
        self._syncing.start()

    def write(self, entries: list[Entry]) -> None:
        """Add the lines of some entries. Raises `OSError`, as of a full disk."""
        self.write_text("".join(map(line, entries)))

    def write_text(self, text: str) -> None:
        """Add whole lines. Raises `OSError`."""
        raw = text.encode(errors="replace")
        while raw:
            raw = raw[self._file.write(raw) :]
        self._dirty.set()

    def close(self) -> None:
        """Bring everything to the disk and let the file go."""
        self._done.set()
        self._syncing.join()
        with suppress(OSError):
            os.fsync(self._file.fileno())
        self._file.close()

    def _sync(self) -> None:
        while not self._done.wait(SYNC):
            if self._dirty.is_set():
                self._dirty.clear()
                with suppress(OSError):
                    os.fsync(self._file.fileno())


def lock(file: IO[bytes]) -> None:
    """Mark an open file as in use, together with whoever else has it in use."""
    if os.name == "posix":
        import fcntl

        with suppress(OSError):  # some network disks have no locks
            fcntl.flock(file.fileno(), fcntl.LOCK_SH | fcntl.LOCK_NB)


def in_use(path: Path) -> bool:
    """Whether a program that is still running writes this file."""
    if os.name == "posix":
        import fcntl

        try:
            with path.open("rb") as file:
                fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return True
        return False
    try:
        # An open file cannot be renamed on Windows.
        path.rename(path)
    except OSError:
        return True
    return False
