"""How do the bars of a line stand in rows, so that they line up throughout a song?

Lines of bars that are too wide go on below, four bars at a time where that comes out even.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.report.class_report import HeatLine
from evaluator.report.model import LayoutLine
from evaluator.show.page import Line, Piece, Sheet, padded, wrapped

BAR_LINES: Final = 3
"""Cells that a bar takes beside its text: its bar line and a space on either side."""
IN_A_ROW: Final = 4
"""Bars by which songs are counted."""


@dataclass(frozen=True, slots=True)
class Grid:
    """The place of one line of bars on a sheet."""

    lead: str
    """What stands before its first row."""
    width: int
    """Cells of a bar's text."""
    count: int
    """Bars a row."""

    @property
    def indent(self) -> str:
        """Below the text of a row's first bar."""
        return " " * (len(self.lead) + 2)

    def start(self, at: int) -> str:
        """What stands before the row that begins with bar `at` of the line."""
        return self.lead if at == 0 else " " * len(self.lead)


def grid(line: LayoutLine | HeatLine, needs: Sequence[int], widest: int, sheet: Sheet) -> Grid:
    """The rows of a line whose bars need so many cells; `widest` is the most that a bar of the
    song needs.

    The same width throughout the song lines the bars up; a line that would break for it is set
    as narrow as its own bars let it.
    """
    lead = "or " if line.alternative else ""
    room = sheet.width - len(lead) - 1
    wanted = min(len(needs), IN_A_ROW)
    width = widest if wanted * (widest + BAR_LINES) <= room else max(needs)
    width = min(width, room - BAR_LINES)
    fits = max(room // (width + BAR_LINES), 1)
    if len(needs) <= fits:
        return Grid(lead, width, len(needs))
    if fits >= IN_A_ROW:
        return Grid(lead, width, fits - fits % IN_A_ROW)
    rows = -(-len(needs) // fits)
    return Grid(lead, width, -(-len(needs) // rows))


def text_rows(texts: Sequence[Piece], place: Grid, at: int) -> list[Line]:
    """The texts of a row of bars between bar lines, each broken where it is too long; the row
    begins with bar `at` of its line."""
    broken = [(wrapped(text, place.width), style) for text, style in texts]
    lines = []
    for level in range(max(len(rows) for rows, _ in broken)):
        pieces: list[Piece] = [(place.start(at + level), "")]
        for rows, style in broken:
            text = rows[level] if level < len(rows) else ""
            pieces += [("| ", "faint"), (padded(text, place.width), style), (" ", "")]
        lines.append((*pieces, ("|", "faint")))
    return lines
