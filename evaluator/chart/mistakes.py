"""Where are the mistakes of a chart text kept until all of it has been read?

Reading goes on after a mistake, so that a teacher sees all of them at once. Whoever
meets one notes it here with its place and leaves the part out; at the end `settle`
raises them together, in the order of the text.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from evaluator.errors import ChartError
from evaluator.errors.mistake import Mistake

MOST = 200
"""Mistakes after which reading stops: this is no chart, or one sign is wrong all over."""


def plural(count: int, noun: str) -> str:
    """`1 bar`, `3 bars`."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


class Place(NamedTuple):
    """A place in a text; both are counted from 1."""

    line: int
    column: int


class Mistakes:
    """The mistakes found so far in one text."""

    def __init__(self, file: str, lines: Sequence[str]) -> None:
        self._file = file
        self._lines = lines
        self._found: dict[tuple[int, int, str], Mistake] = {}

    def add(self, line: int, column: int, message: str, suggestion: str = "") -> None:
        """Note a mistake; the same one at the same place is noted once.

        Raises:
            ChartError: when there are `MOST` of them.
        """
        source = self._lines[line - 1] if line <= len(self._lines) else ""
        mistake = Mistake(self._file, line, column, source, message, suggestion)
        self._found.setdefault((line, column, message), mistake)
        if len(self._found) == MOST:
            self.settle()

    def settle(self) -> None:
        """Raise what was found.

        Raises:
            ChartError: if anything was.
        """
        if self._found:
            ordered = sorted(self._found.values(), key=lambda m: (m.line, m.column))
            raise ChartError(tuple(ordered))


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A question that offers the nearest known word; empty when none is near."""
    from difflib import get_close_matches

    by_folded = {name.casefold(): name for name in known}
    near = get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.6)
    return f"did you mean `{by_folded[near[0]]}`?" if near else ""
