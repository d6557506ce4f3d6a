"""Graded takes, kept so that progress can be seen.

`remember` is all that grading one take and listening need, `remembering` what a class needs;
nothing that goes wrong in it keeps anybody from the report.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from evaluator.history.entry import Entry
    from evaluator.history.practised import Practised
    from evaluator.history.store import History

__all__ = ["Memory", "remember", "remembering"]


class Memory:
    """Keeps entries one by one, each for good as it comes. Made by `remembering`."""

    def __init__(self, until: ExitStack) -> None:
        self._until = until
        self._history: History | None = None
        self.trouble = ""
        """What has to be said about it; empty as long as all goes well."""
        self._shut = False

    def keep(self, entry: "Entry | None") -> None:
        """Keep a graded take (None for what is no take of its song).

        Never raises for what is wrong with the file or the disk; once something is, no more
        is tried.
        """
        if entry is not None:
            self._do(lambda history: history.keep(entry))

    def keep_round(self, one: "Practised") -> None:
        """Keep a round of practising, in the same manner."""
        self._do(lambda history: history.keep_round(one))

    def _do(self, work: "Callable[[History], object]") -> None:
        if self._shut:
            return
        # The database comes in only now, when there is something to keep.
        from evaluator.history.place import history_file
        from evaluator.history.store import opened
        from evaluator.history.trouble import HistoryError

        try:
            if self._history is None:
                self._history = self._until.enter_context(opened(history_file()))
            work(self._history)
            self._tell_of(self._history)
        except (HistoryError, RuntimeError) as error:  # RuntimeError: nobody's home folder
            what = "Nothing" if self._history is None else "Not everything"
            self.trouble, self._shut = f"{what} was kept in the history. {error}", True

    def _tell_of(self, history: "History") -> None:
        if history.aside is not None:
            self.trouble = (
                "Not all of the history could be read. What could is in a new one; the old is "
                f"{history.aside}."
            )


@contextmanager
def remembering() -> Iterator[Memory]:
    """A memory for the takes of a class, opened with the first of them."""
    with ExitStack() as until:
        yield Memory(until)


def remember(entries: "Iterable[Entry | None]") -> str:
    """Keep graded takes; what has to be said about it, empty when all went well."""
    with remembering() as memory:
        for entry in entries:
            memory.keep(entry)
    return memory.trouble
