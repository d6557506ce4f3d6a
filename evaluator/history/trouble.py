"""What can be wrong with the history's file, and how is it said?

SQLite's result codes (its own documentation, "Result and Error Codes") and what the system
says, in a sentence.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from evaluator.errors import EvaluatorError

BROKEN: Final = (sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT)
REASONS: Final = {
    sqlite3.SQLITE_BUSY: "another program has been writing to it for too long",
    sqlite3.SQLITE_LOCKED: "another program has been writing to it for too long",
    sqlite3.SQLITE_READONLY: "it is read-only",
    sqlite3.SQLITE_PERM: "you have no permission",
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_IOERR: "the disk is full, or it cannot be written to",
    sqlite3.SQLITE_CANTOPEN: "it could not be opened",
}


class HistoryError(EvaluatorError):
    """The history cannot be read or written; says why."""


class DamagedError(HistoryError):
    """The file is no history, or not all of it is one."""

    def __init__(self, file: Path) -> None:
        super().__init__(f"{file} is not a history, or it is damaged.")


COMPLAINTS: Final = (sqlite3.DatabaseError, UnicodeDecodeError)
"""What is raised; what SQLite says of a damaged file may quote what is no text."""


def is_broken(error: Exception) -> bool:
    """Whether it says that the file is no database, or a damaged one."""
    return isinstance(error, UnicodeDecodeError) or code(error) in BROKEN


def code(error: Exception) -> int:
    """The primary result code, without what is extended in it."""
    found: int = getattr(error, "sqlite_errorcode", 0) or 0
    return found & 0xFF


@contextmanager
def told(file: Path) -> Iterator[None]:
    """Within it, what SQLite and the system raise becomes a `HistoryError` about the file, or a
    `DamagedError` where it is damaged."""
    try:
        yield
    except COMPLAINTS as error:
        if is_broken(error):
            raise DamagedError(file) from None
        reason = REASONS.get(code(error), str(error))
        raise HistoryError(f"The history in {file} could not be used: {reason}.") from None
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise HistoryError(f"The history in {file} could not be used: {reason}.") from None
