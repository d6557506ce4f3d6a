"""What is there to print of a chart for the music stand?

The chart as it is written, put into words and cells: nothing repeated, each section with
its options said, bars with their chords, rows of exact notes, words. How wide it may be
and what it is printed on is the business of those who print it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from evaluator.chart import BarGraph
from evaluator.chart.model import Chart, Count, Line, Pattern, Section, Way
from evaluator.chart.values import swing_text
from evaluator.report.places import amount_between, bar_numbers


@dataclass(frozen=True, slots=True)
class StandWay:
    """One way to play a line."""

    bars: tuple[str, ...]
    """The chords between the bar lines, as written."""
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    """Hand and cells, right before left, where notes are written out."""
    words: str


@dataclass(frozen=True, slots=True)
class StandLine:
    """A line of bars with its `or` lines."""

    ways: tuple[StandWay, ...]
    count: str
    """How often: `4`, `2-4`, `2+`; empty for once."""


@dataclass(frozen=True, slots=True)
class StandSection:
    """One playing of a section."""

    name: str
    options: tuple[str, ...]
    numbers: str
    """`bars 5 to 12`."""
    lines: tuple[StandLine, ...]
    """Empty where the section comes again as it was."""


@dataclass(frozen=True, slots=True)
class StandPattern:
    """A pattern with its three rows."""

    name: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class StandChart:
    """A whole chart for the music stand."""

    title: str
    by: str
    facts: tuple[str, ...]
    """Key, meter, tempo, feel, bass rules."""
    patterns: tuple[StandPattern, ...]
    sections: tuple[StandSection, ...]


def stand_chart(chart: Chart, graph: BarGraph) -> StandChart:
    """The chart to be printed; `graph` is its song, from which the bars have their numbers."""
    header = chart.header
    return StandChart(
        title=header.title,
        by=header.by,
        facts=tuple(_facts(chart)),
        patterns=tuple(map(_pattern, chart.patterns)),
        sections=tuple(
            _section(section, place, graph) for place, section in enumerate(chart.sections)
        ),
    )


def _facts(chart: Chart) -> Iterator[str]:
    header = chart.header
    if header.key:
        yield f"{header.key.tonic.text} {header.key.mode}"
    yield str(header.meter)
    yield f"{header.tempo:g} beats a minute"
    if header.swing != 1:
        yield f"swing {swing_text(header.swing)}"
    for rule in header.bass:
        yield f"plain {rule.chord.text} over {rule.note.text}"


def _pattern(pattern: Pattern) -> StandPattern:
    beats = Fraction(pattern.meter.beats, pattern.columns)
    places = [place * beats for place in range(pattern.columns)]
    count = tuple(str(at + 1) if at.denominator == 1 else "." for at in places)
    name = f"{pattern.name} {pattern.meter}" if pattern.own_meter else pattern.name
    rows = (("count", count), ("left", pattern.left), ("right", pattern.right))
    return StandPattern(name, rows)


def _section(section: Section, place: int, graph: BarGraph) -> StandSection:
    bars = [graph.bars[index] for index in graph.written]
    numbers = [bar.number for bar in bars if bar.section_index == place]
    again = bool(section.lines) and section.lines[0].line < section.line
    label = next((bar.section for bar in bars if bar.section_index == place), section.name)
    return StandSection(
        name=label,
        options=tuple(_options(section, again=again)),
        numbers=_numbers(section, numbers) if numbers else "",
        lines=() if again else tuple(_line(section, at) for at in range(len(section.lines))),
    )


def _numbers(section: Section, numbers: Sequence[int]) -> str:
    """`bars 5 to 20`; how many bars it may have too, where the player chooses."""
    low, high = section.bars
    free = "" if low == high else f", {amount_between(low, high, 'bar')}"
    return bar_numbers(numbers) + free


def _options(section: Section, *, again: bool) -> Iterator[str]:
    if again:
        yield "as before"
    if section.optional:
        yield "may be left out"
    if section.tail:
        yield f"tail {_times(section.tail)}"
    if section.pattern:
        yield f"pattern {' or '.join((section.pattern, *section.other_patterns))}"
    if section.held:
        yield "its last bar held"
    if section.meter:
        yield str(section.meter)
    if section.key:
        yield f"{section.key.tonic.text} {section.key.mode}"
    if section.tempo:
        yield f"{section.tempo:g} beats a minute"


def _times(count: Count) -> str:
    if count.high is None:
        return f"{count.low} times or more"
    if count.low != count.high:
        return f"{count.low} to {count.high} times"
    return "once" if count.low == 1 else f"{count.low} times"


def _line(section: Section, place: int) -> StandLine:
    line: Line = section.lines[place]
    count = section.count_of(place)
    shown = "" if count == Count(1, 1) else f"{count.low}"
    if count.high is None:
        shown = f"{count.low}+"
    elif count.high != count.low:
        shown = f"{count.low}-{count.high}"
    return StandLine(tuple(map(_way, line.ways)), shown)


def _way(way: Way) -> StandWay:
    rows = []
    for hand in ("right", "left"):
        cells = tuple(
            next((notes.text for notes in bar.hands if notes.hand == hand), "") for bar in way.bars
        )
        if any(cells):
            rows.append((hand, cells))
    return StandWay(tuple(bar.text for bar in way.bars), tuple(rows), way.cue)


def patterns_wide(patterns: Sequence[StandPattern]) -> int:
    """The widest sign of any pattern, so that their columns stand under each other."""
    return max((len(sign) for p in patterns for _, row in p.rows for sign in row), default=1)
