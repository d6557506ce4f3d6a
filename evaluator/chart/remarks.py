"""What in this chart may not be what was meant, although it can be read?

Nothing here is wrong as it stands: chord names may be sung, a section may be called `Solo
optional`, a hand may rest. But it is likelier that a bar line, a bracket or a row was forgotten,
and the song would lose bars, an option or a hand without a word. And who writes 6/8 often counts
its tempo in dotted quarters. Common practice, no source.
"""

from collections.abc import Iterator, Sequence

from evaluator.chart.bare_row import with_bar_lines
from evaluator.chart.graph import Meter
from evaluator.chart.headings import option_in_name
from evaluator.chart.lines import TextLine, split_lines
from evaluator.chart.model import Chart, Pattern
from evaluator.errors.mistake import Mistake

SLOWEST = 40
"""Dotted quarters a minute, the slowest mark of the usual metronome: from memory."""


def remarks(chart: Chart) -> tuple[Mistake, ...]:
    """Places to look at again, in the order of the text; told as mistakes are."""
    sources, lines = split_lines(chart.text, file=chart.file)
    found = [*_patterns(chart), *_names(chart), *_tempi(chart, lines)]
    first = min(section.line for section in chart.sections)
    for line in lines:
        barred = with_bar_lines(line.text) if line.kind == "other" and line.number > first else ""
        if barred:
            message = "this line of chord names has no bar lines, so it is read as words"
            found.append((line.number, message, f"put | between the bars: {barred}"))
    return tuple(
        Mistake(chart.file, number, lines[number - 1].column(), sources[number - 1], *told)
        for number, *told in sorted(found)
    )


def _names(chart: Chart) -> Iterator[tuple[int, str, str]]:
    """Options that stand in the name of a section, each name once."""
    seen: set[str] = set()
    patterns = [pattern.name for pattern in chart.patterns]
    for section in chart.sections:
        told = None if section.name in seen else option_in_name(section.name, patterns)
        seen.add(section.name)
        if told:
            yield section.line, *told


def _tempi(chart: Chart, lines: Sequence[TextLine]) -> Iterator[tuple[int, str, str]]:
    """Tempi of compound meters that are too slow for their eighths, each once."""
    header, seen = chart.header, set[tuple[Meter, float]]()
    above = next(row.number for row in lines if row.text.strip().casefold().startswith("tempo"))
    stated = [(above, header.meter, header.tempo)]
    for section in chart.sections:
        if section.tempo is not None:
            stated.append((section.line, section.meter or header.meter, section.tempo))
    for line, meter, tempo in stated:
        compound = meter.unit == 8 and meter.beats > 3 and meter.beats % 3 == 0
        if compound and tempo < 3 * SLOWEST and (meter, tempo) not in seen:
            seen.add((meter, tempo))
            what = f"in {meter} the tempo counts eighths, and {tempo:g} is slow"
            meant = f"if it counts dotted quarters, write three times as much: {3 * tempo:g}"
            yield line, what, meant


def _patterns(chart: Chart) -> Iterator[tuple[int, str, str]]:
    for pattern in chart.patterns:
        if pattern.unwritten:
            yield pattern.line, *_without_a_hand(pattern, pattern.unwritten)


def _without_a_hand(pattern: Pattern, hand: str) -> tuple[str, str]:
    message = (
        f"the pattern `{pattern.name}` has no row `{hand}`, so the {hand} hand has nothing to play"
    )
    dots = " ".join("." * pattern.columns)
    return message, f"write the row, or dots if the hand is meant to rest: {hand} | {dots} |"
