"""What can go wrong with what a person hands us?

Every mistake that a user can cause is one of these; anything else that is raised is a
fault in the program. Each carries sentences that say what, where and what to do.

    EvaluatorError
    ├── TextError        a text with mistakes in it: every one found in one reading
    │   ├── ChartError   the chart
    │   ├── RubricError  the rubric
    │   └── RosterError  the list of a class's names
    ├── TakeError        the MIDI file: nothing in it could be read as a take
    └── UsageError       the command line: wrong words, a path that cannot be opened
"""

import unicodedata
from dataclasses import dataclass

SHOWN = 20
"""Mistakes written out before the rest are only counted: about a screenful."""
WINDOW = 90
"""Columns of a long source line that are shown around the place of a mistake."""
TAB = 4


class EvaluatorError(Exception):
    """Something handed to the program that it cannot use; `str()` is fit to be shown."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in a text, and its place.

    `line` and `column` count from 1, columns in characters of `source`, the line as it
    stands in the text. `suggestion` says what to write instead, or is empty.
    """

    file: str
    line: int
    column: int
    source: str
    message: str
    suggestion: str = ""

    def __str__(self) -> str:
        lines = [f"{self.file}:{self.line}:{self.column}: {self.message}"]
        if self.source.strip():
            lines += [f"    {row}" for row in _with_caret(self.source, self.column)]
        if self.suggestion:
            lines.append(f"    {self.suggestion}")
        return "\n".join(lines)


class TextError(EvaluatorError):
    """A text with mistakes in it: all of them, in the order of the text."""

    def __init__(self, mistakes: tuple[Mistake, ...]) -> None:
        super().__init__(mistakes)
        self.mistakes = mistakes

    def __str__(self) -> str:
        shown = [str(mistake) for mistake in self.mistakes[:SHOWN]]
        rest = len(self.mistakes) - len(shown)
        if rest:
            shown.append(f"and {rest} more {'mistake' if rest == 1 else 'mistakes'}")
        return "\n".join(shown)


class ChartError(TextError):
    """A chart text with mistakes in it."""


class RubricError(TextError):
    """A rubric with mistakes in it."""


class RosterError(TextError):
    """A roster with mistakes in it."""


class TakeError(EvaluatorError):
    """A take that holds nothing to judge, even after repairs."""


class UsageError(EvaluatorError):
    """A command that cannot be carried out as it was given."""


def _with_caret(source: str, column: int) -> tuple[str, str]:
    """The line made safe to print, and a line with a caret under one of its characters."""
    source = source.rstrip()
    start = max(0, column - 1 - WINDOW // 2) if len(source) > WINDOW else 0
    before = ("…" if start else "") + "".join(map(_printable, source[start : column - 1]))
    after = "".join(map(_printable, source[column - 1 : start + WINDOW]))
    end = "…" if start + WINDOW < len(source) else ""
    return before + after + end, " " * sum(map(_width, before)) + "^"


def _printable(character: str) -> str:
    """A tab as spaces; what could steer a terminal or turn the line round as a mark."""
    if character == "\t":
        return " " * TAB
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        return "�"
    return character


def _width(character: str) -> int:
    """Columns that a character takes in a terminal."""
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1
