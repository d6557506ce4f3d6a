"""Graded takes, kept so that progress can be seen.

`remember` is all that grading and listening need; nothing that goes wrong in it keeps
anybody from the report.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from evaluator.history.entry import Entry

__all__ = ["remember"]


def remember(entries: "Iterable[Entry | None]") -> str:
    """Keep graded takes (None for what is no take of its song); what has to be said about it.

    Empty when all went well. Never raises for what is wrong with the file or the disk.
    """
    # The database comes in only now, when the report is on the screen.
    from evaluator.history.place import history_file
    from evaluator.history.store import HistoryError, keep_all

    known = [entry for entry in entries if entry is not None]
    if not known:
        return ""
    try:
        _, aside = keep_all(history_file(), known)
    except (HistoryError, RuntimeError) as error:  # RuntimeError: nobody's home folder
        return f"Nothing was kept in the history. {error}"
    if aside is not None:
        return f"The history could not be read; a new one was begun, and the old is {aside}."
    return ""
