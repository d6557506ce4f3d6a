"""How does a chart look on a terminal, or printed from one, for the music stand?

As it is typed, in order: bars of a section stand under each other, a line too wide for
the sheet goes on below with its rows and words, sections that come again are only named.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.show.chart_lines import StandChart, StandLine, StandSection, StandWay, patterns_wide
from evaluator.show.page import Line, Sheet, cells, padded, paragraph

IN_A_ROW: Final = 4
"""Bars by which songs are counted: a line that must be broken is broken there."""
BETWEEN: Final = 3
"""Cells that a bar takes beside its text."""


def chart_sheet(chart: StandChart, sheet: Sheet) -> Iterator[Line]:
    """The chart as lines, none wider than the sheet where a single bar is not."""
    by = f" ({chart.by})" if chart.by else ""
    yield from paragraph(sheet.text(chart.title + by), sheet.width, style="title")
    facts = f" {sheet.glyphs.slip} ".join(map(sheet.text, chart.facts))
    yield from paragraph(facts, sheet.width, style="faint")
    for pattern in chart.patterns:
        yield ()
        yield ((sheet.text(f"pattern {pattern.name}"), "head"),)
        wide = patterns_wide(chart.patterns)
        for name, row in pattern.rows:
            signs = " ".join(sign.ljust(wide) for sign in row)
            yield ((f"  {name:<5} | {signs} |", "faint" if name == "count" else ""),)
    for section in chart.sections:
        yield ()
        yield from _section(section, sheet)


def _section(section: StandSection, sheet: Sheet) -> Iterator[Line]:
    said = ", ".join((*section.options, *filter(None, (section.numbers,))))
    name = sheet.text(f"[{section.name}]")
    about = sheet.text(said)
    if cells(name) + cells(about) + 2 <= sheet.width:
        yield ((name, "head"), (f"  {about}", "faint"))
    else:
        yield from paragraph(name, sheet.width, style="head")
        yield from paragraph(about, sheet.width, first="  ", style="faint")
    ways = [way for line in section.lines for way in line.ways]
    widths = _widths([way for way in ways if not way.rows], sheet)
    for line in section.lines:
        yield from _line(line, widths, sheet)


def _widths(ways: Sequence[StandWay], sheet: Sheet) -> list[int]:
    """The width of each place of a line, the same through a section."""
    longest = max((len(way.bars) for way in ways), default=0)
    return [
        max(cells(sheet.text(way.bars[place])) for way in ways if place < len(way.bars))
        for place in range(longest)
    ]


def _line(line: StandLine, widths: Sequence[int], sheet: Sheet) -> Iterator[Line]:
    for number, way in enumerate(line.ways):
        if number:
            yield (("or", "faint"),)
        count = f" {sheet.glyphs.times}{line.count}" if line.count and not number else ""
        yield from _way(way, _own_widths(way, sheet) if way.rows else widths, count, sheet)


def _own_widths(way: StandWay, sheet: Sheet) -> list[int]:
    columns = zip(way.bars, *(row for _, row in way.rows), strict=True)
    return [max(cells(sheet.text(text)) for text in column) for column in columns]


def _way(way: StandWay, widths: Sequence[int], count: str, sheet: Sheet) -> Iterator[Line]:
    indent = 8 if way.rows else 0
    for start, end in _broken(len(way.bars), widths, sheet.width - indent - cells(count)):
        last = count if end == len(way.bars) else ""
        row = _between(way.bars[start:end], widths[start:end], sheet)
        yield ((" " * indent, ""), (row, "head"), (last, "form"))
        for hand, texts in way.rows:
            notes = _between(texts[start:end], widths[start:end], sheet)
            yield ((f"  {hand:<5} ", "faint"), (notes, ""))
    if way.words:
        yield from paragraph(sheet.text(way.words), sheet.width, first="  ")


def _broken(bars: int, widths: Sequence[int], width: int) -> Iterator[tuple[int, int]]:
    """Where the line is broken: nowhere, or every four, two or one bars, or as many as fit."""
    choices = [bars, *(n for n in (IN_A_ROW, 3, 2) if n < bars)]
    for step in choices:
        cuts = [(start, min(start + step, bars)) for start in range(0, bars, step)]
        if all(sum(widths[a:b]) + BETWEEN * (b - a) + 1 <= width for a, b in cuts):
            yield from cuts
            return
    yield from ((bar, bar + 1) for bar in range(bars))


def _between(texts: Sequence[str], widths: Sequence[int], sheet: Sheet) -> str:
    shown = (padded(sheet.text(text), w) for text, w in zip(texts, widths, strict=True))
    return f"| {' | '.join(shown)} |"
