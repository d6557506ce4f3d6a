"""How is one mistake in a text shown, so that its place is seen?"""

import unicodedata
from dataclasses import dataclass

WINDOW = 90
"""Columns of a long source line that are shown around the place of a mistake."""
TAB = 4


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in a text, and its place.

    `line` and `column` count from 1, columns in characters of `source`, the line as it
    stands in the text. `file` is empty for a text that is no file.
    `suggestion` says what to write instead, or is empty.
    """

    file: str
    line: int
    column: int
    source: str
    message: str
    suggestion: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}"
        if not self.file:  # a text that was never a file
            place = f"line {self.line}, column {self.column}"
        lines = [f"{place}: {self.message}"]
        if self.source.strip():
            lines += [f"    {row}" for row in _with_caret(self.source, self.column)]
        if self.suggestion:
            lines.append(f"    {self.suggestion}")
        return "\n".join(lines)


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
