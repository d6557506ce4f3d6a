"""How does the song look with the marks on it?

As on the music stand: the section's name in brackets, the chords between bar lines, the
words below. Between chords and words stand the numbers of the bars with their marks, and
under the words what each mark means. Nothing is left out for lack of room.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.report.model import (
    LayoutBar,
    LayoutLine,
    LayoutSection,
    Report,
    ReportedBar,
)
from evaluator.report.places import bar_numbers
from evaluator.show.bar_grid import BAR_LINES, Grid, grid, text_rows
from evaluator.show.glyphs import MEANINGS
from evaluator.show.page import Line, Piece, Sheet, Style, cells, headed, paragraph

MARKS: Final = ("chord", "incomplete", "bass", "rhythm", "otherwise", "lost")
"""Faults that get a sign at the bar's number; a brushed key is only said."""
SAID_ABOVE: Final = ("otherwise",)
"""Faults that are told once for many bars, and not under each."""
STYLES: Final[Mapping[str, Style]] = {
    "chord": "chord",
    "incomplete": "chord",
    "bass": "bass",
    "rhythm": "rhythm",
    "otherwise": "faint",
    "lost": "faint",
    "slip": "faint",
    "missing": "form",
    "extra": "form",
    "restart": "form",
    "break": "form",
    "left out": "faint",
    "not reached": "faint",
}
NARROWEST: Final = 6
"""Cells of a bar's text, so that short bars still look like bars."""
GAP: Final = "   "
"""Between the entries of the legend."""
TIMES: Final = ("1st", "2nd", "3rd")


@dataclass(frozen=True, slots=True)
class _Cell:
    text: str
    number: str
    marks: tuple[str, ...]
    """Kinds."""
    state: str


def song(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The whole song, section by section."""
    cell = {
        id(bar): _cell(bar, report.bars, sheet)
        for section in report.layout
        for line in section.lines
        for bar in line.bars
    }
    widest = max((_need(one, sheet) for one in cell.values()), default=NARROWEST)
    for section in report.layout:
        yield ()
        yield from _heading(section, sheet)
        if section.absent:
            continue
        apart = False
        for at, line in enumerate(section.lines):
            told = list(_faults(line, report.bars, sheet))
            if at and (apart or line.cue):
                yield ()
            apart = bool(line.cue or told)
            yield from _line(line, [cell[id(bar)] for bar in line.bars], widest, sheet)
            yield from told


def legend(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The marks that this song has, and what they stand for."""
    used = {
        kind
        for section in report.layout
        if not section.absent
        for bar in section.bars
        for kind in marks_of(bar, report.bars)
    }
    entries = ["no mark: right"]
    entries += [f"{sheet.glyphs.of(k)} {means}" for k, means in MEANINGS.items() if k in used]
    row = ""
    for entry in entries:
        # An entry is not torn from its sign at the end of a row.
        if row and cells(f"{row}{GAP}{entry}") > sheet.width:
            yield ((row, "faint"),)
            row = ""
        row = f"{row}{GAP}{entry}" if row else entry
    yield ((row, "faint"),)


def _heading(section: LayoutSection, sheet: Sheet) -> Iterator[Line]:
    name = f"[{sheet.text(section.label)}]"
    if why := absence(section):
        yield from headed(name, why, sheet.width, "faint")
    else:
        yield ((name, "head"),)


def absence(section: LayoutSection) -> str:
    """Why no bar of a section was played or missed, and which bars these are; empty if any was."""
    if section.absent is None:
        return ""
    return f"{MEANINGS[section.absent]} ({bar_numbers(bar.number for bar in section.bars)})"


def marks_of(bar: LayoutBar, bars: Sequence[ReportedBar]) -> tuple[str, ...]:
    """Kinds of the marks of a bar: what was wrong with it any time it was played, then its form."""
    faults = {fault.kind for number in bar.played for fault in bars[number - 1].faults}
    return in_order(faults, bar, told=bar.state != "played")


def in_order(faults: Collection[str], bar: LayoutBar, *, told: bool) -> tuple[str, ...]:
    """Kinds of the marks of a bar with these faults, in their order; `told`: its state, too."""
    state = (bar.state,) if told else ()
    return (*(kind for kind in MARKS if kind in faults), *dict.fromkeys(bar.form), *state)


def _cell(bar: LayoutBar, bars: Sequence[ReportedBar], sheet: Sheet) -> _Cell:
    again = f"{sheet.glyphs.times}{len(bar.played)}" if len(bar.played) > 1 else ""
    text = sheet.text(bar.text)
    return _Cell(text, f"{bar.number}{again}", marks_of(bar, bars), bar.state)


def _need(cell: _Cell, sheet: Sheet) -> int:
    marks = sum(cells(sheet.glyphs.of(kind)) for kind in cell.marks)
    below = cells(cell.number) + (1 + marks if marks else 0)
    return max(NARROWEST, cells(cell.text), below)


def _line(line: LayoutLine, row: Sequence[_Cell], widest: int, sheet: Sheet) -> Iterator[Line]:
    """One written line: chords, numbers with marks, words."""
    place = grid(line, [_need(cell, sheet) for cell in row], widest, sheet)
    for at in range(0, len(row), place.count):
        part = row[at : at + place.count]
        styled = [(cell.text, STYLES.get(cell.state, "")) for cell in part]
        yield from text_rows(styled, place, at)
        yield _numbers(part, place, sheet)
    if line.cue:
        yield from paragraph(sheet.text(line.cue), sheet.width, first=place.indent, style="faint")


def _numbers(part: Sequence[_Cell], place: Grid, sheet: Sheet) -> Line:
    pieces: list[Piece] = [(place.indent, "")]
    for cell in part:
        used = cells(cell.number)
        pieces.append((cell.number, "faint"))
        for at, kind in enumerate(cell.marks):
            sign = ("" if at else " ") + sheet.glyphs.of(kind)
            pieces.append((sign, STYLES[kind]))
            used += cells(sign)
        pieces.append((" " * (place.width + BAR_LINES - used), ""))
    return tuple(pieces[:-1])


def _faults(line: LayoutLine, bars: Sequence[ReportedBar], sheet: Sheet) -> Iterator[Line]:
    """Under the line, what was wrong in each of its bars."""
    for bar in line.bars:
        for turn, number in enumerate(bar.played):
            faults = [one for one in bars[number - 1].faults if one.kind not in SAID_ABOVE]
            if not faults:
                continue
            time = f", {nth_time(turn)}:" if len(bar.played) > 1 else ""
            said = "; ".join(
                f"{sheet.glyphs.of(fault.kind)} {sheet.text(fault.say)}" for fault in faults
            )
            first, style = f"    {bar.number}{time} ", STYLES[faults[0].kind]
            yield from paragraph(said, sheet.width, first=first, style=style)


def nth_time(turn: int) -> str:
    """`2nd time` for 1."""
    return f"{TIMES[turn] if turn < len(TIMES) else f'{turn + 1}th'} time"
