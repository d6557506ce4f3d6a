"""How is text laid into lines of a given width?

A line is a run of pieces, each with the name of a style; what becomes of the styles
(colour, or nothing) is decided where the lines are written. Widths are cells of a
terminal: a Chinese character takes two, a combining accent none.
"""

import os
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TextIO

from evaluator.show.glyphs import ASCII, ONE_CELL, Glyphs, fitted, glyphs_for
from evaluator.show.sanitise import clean

Style = Literal["", "title", "head", "faint", "good", "chord", "bass", "rhythm", "form"]
Piece = tuple[str, Style]
Line = tuple[Piece, ...]

WIDTHS: Final = range(40, 201)
"""Cells for which reports are laid out; terminals beyond them are treated as these."""
USUAL_WIDTH: Final = 80
PROSE: Final = 100
"""Cells beyond which sentences are hard to read."""
FIRST_COMBINING: Final = "\u0300"
"""All characters before this one take one cell each."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The paper: its width in cells, its signs, and the encoding that it can take."""

    width: int = 80
    glyphs: Glyphs = ASCII
    encoding: str = "ascii"

    def text(self, text: str) -> str:
        """A text from outside, safe and writable."""
        return fitted(clean(text), self.encoding)


def sheet_for(stream: TextIO) -> Sheet:
    """Width, signs and encoding of a stream."""
    encoding = stream.encoding or "utf-8"
    return Sheet(_width(stream), glyphs_for(encoding), encoding)


def cells(text: str) -> int:
    """Width of a text in terminal cells."""
    if text.isascii() or all(sign < FIRST_COMBINING or sign in ONE_CELL for sign in text):
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def padded(text: str, width: int) -> str:
    """The text with spaces after it up to a width."""
    return text + " " * (width - cells(text))


def wrapped(text: str, width: int) -> list[str]:
    """The text in rows of at most `width` cells, broken at spaces where there are any."""
    rows: list[str] = []
    row = ""
    for word in text.split():
        joined = f"{row} {word}" if row else word
        if cells(joined) <= width:
            row = joined
            continue
        rows += [row] if row else []
        *full, row = _cut(word, width)
        rows += full
    return [*rows, row] if row or not rows else rows


def paragraph(
    text: str, width: int, *, first: str = "", rest: str | None = None, style: Style = ""
) -> Iterable[Line]:
    """Wrapped text as lines, with an indent for the first and for the others."""
    indent = " " * cells(first) if rest is None else rest
    for at, row in enumerate(wrapped(text, max(width - cells(first), 8))):
        yield ((indent if at else first, ""), (row, style))


def headed(name: str, said: str, width: int, style: Style) -> Iterable[Line]:
    """A heading with a remark behind it, which goes on under itself."""
    first, *others = paragraph(said, width, first=" " * (cells(name) + 1), style=style)
    yield ((name, "head"), (" ", style), *first[1:])
    yield from others


def _cut(word: str, width: int) -> list[str]:
    """A word in pieces that fit: one piece unless it is longer than a row."""
    if cells(word) <= width:
        return [word]
    pieces = [""]
    for sign in word:
        if pieces[-1] and cells(pieces[-1] + sign) > width:
            pieces.append("")
        pieces[-1] += sign
    return pieces


def _width(stream: TextIO) -> int:
    """COLUMNS if it is set, else the terminal's own width, else the usual one."""
    asked = os.environ.get("COLUMNS", "")
    if asked.isascii() and asked.isdigit() and int(asked) > 0:
        width = int(asked)
    elif stream.isatty():
        try:
            width = os.get_terminal_size(stream.fileno()).columns or USUAL_WIDTH
        except OSError:
            width = USUAL_WIDTH
    else:
        width = USUAL_WIDTH
    return min(max(width, WIDTHS[0]), WIDTHS[-1])
