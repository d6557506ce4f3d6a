"""Where in the song does the class stumble, as a picture in a terminal?

The song as the chart lays it out; under each bar its number, and for each thing that went
wrong there the sign of it with the number of students: nothing depends on colour. Under a
line stands the commonest wrong chord or bass of its bars.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.report.class_heat import heat_told
from evaluator.report.class_report import ClassReport, Heat, HeatBar, HeatLine
from evaluator.report.places import bar_numbers
from evaluator.show.bar_grid import BAR_LINES, Grid, grid, text_rows
from evaluator.show.glyphs import MEANINGS
from evaluator.show.page import Line, Piece, Sheet, Style, cells, headed, paragraph

NARROWEST: Final = 8
"""Cells of a bar's text."""
SIGNS: Final = 3
"""Kinds of stumbles told under one bar; the rarer ones are in the page and the gradebook."""
OFTEN: Final = 2
"""Students who played the same wrong thing, from which on it is told."""
HOT: Final[tuple[tuple[float, Style], ...]] = ((0.5, "chord"), (0.25, "bass"), (0.0, "rhythm"))
"""Colour by the share of students, from so much on."""


def class_song(report: ClassReport, sheet: Sheet) -> Iterator[Line]:
    """Section by section; those that everybody came through in one line each."""
    kinds = dict.fromkeys(kind for section in report.sections for kind, _ in section.heat.on)
    signs = [f"{sheet.glyphs.of(kind)} {MEANINGS[kind]}" for kind in MEANINGS if kind in kinds]
    if signs:
        legend = (
            f"Under a bar: its number, and how many stumbled there on what ({', '.join(signs)}). "
            "Each student counts once, by the best take."
        )
        yield from paragraph(legend, sheet.width, style="faint")
    every = [bar for section in report.sections for line in section.lines for bar in line.bars]
    widest = max(_need(bar, sheet) for bar in every)
    for section in report.sections:
        bars = [bar for line in section.lines for bar in line.bars]
        yield ()
        name = f"[{sheet.text(section.label)}]"
        yield from headed(name, heat_told(section.heat), sheet.width, _style(section.heat))
        if not section.heat.stumbled:
            yield ((f"  {bar_numbers(bar.number for bar in bars)}", "faint"),)
            continue
        for line in section.lines:
            yield from _line(line, widest, sheet)


def _style(heat: Heat) -> Style:
    if not heat.stumbled:
        return "faint"
    share = heat.stumbled / heat.heard
    return next(style for least, style in HOT if share >= least)


def _need(bar: HeatBar, sheet: Sheet) -> int:
    return max(NARROWEST, cells(sheet.text(bar.text)), cells(_below(bar, sheet)))


def _line(line: HeatLine, widest: int, sheet: Sheet) -> Iterator[Line]:
    place = grid(line, [_need(bar, sheet) for bar in line.bars], widest, sheet)
    for at in range(0, len(line.bars), place.count):
        part = line.bars[at : at + place.count]
        yield from text_rows([(sheet.text(bar.text), "") for bar in part], place, at)
        yield _numbers(part, place, sheet)
    if line.cue:
        yield from paragraph(sheet.text(line.cue), sheet.width, first=place.indent, style="faint")
    yield from _instead(line, sheet)


def _below(bar: HeatBar, sheet: Sheet) -> str:
    """`6 ▼8 ♪3`."""
    on = [f"{sheet.glyphs.of(kind)}{students}" for kind, students in bar.heat.on[:SIGNS]]
    return " ".join([str(bar.number), *on])


def _numbers(bars: Sequence[HeatBar], place: Grid, sheet: Sheet) -> Line:
    pieces: list[Piece] = [(place.indent, "")]
    for bar in bars:
        text = _below(bar, sheet)
        number = str(bar.number)
        pieces.append((number, "faint"))
        pieces.append((text[len(number) :], _style(bar.heat)))
        pieces.append((" " * (place.width + BAR_LINES - cells(text)), ""))
    return tuple(pieces[:-1])


def _instead(line: HeatLine, sheet: Sheet) -> Iterator[Line]:
    """The commonest wrong chord or bass of each bar, bars with the same told together."""
    told: dict[str, list[int]] = {}
    for bar in line.bars:
        one = bar.heat.commonest
        if one is None or one.students < OFTEN:
            continue
        bass = "bass " if one.part == "bass" else ""
        said = f"{bass}{one.played or 'nothing'} for {one.expected}: {one.students} students"
        told.setdefault(said, []).append(bar.number)
    for said, numbers in told.items():
        text = f"{bar_numbers(numbers)}, {said}"
        yield from paragraph(sheet.text(text), sheet.width, first="    ")
