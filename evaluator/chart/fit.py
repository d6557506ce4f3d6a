"""Do the parts of a chart fit together?

What no single line shows: signs and columns against the beats of the meter that governs
each playing, bass rules that meet no chord, how long the song becomes.
"""

from collections.abc import Iterator

from evaluator.chart.graph import Meter
from evaluator.chart.mistakes import Mistakes, plural
from evaluator.chart.model import Chart, Section, WrittenBar
from evaluator.chart.patterns import columns_fit

MOST_BARS = 1000
"""Bars of the song written out in full, `or` lines among them: most of an hour."""


def sign_beats(bar: WrittenBar, meter: Meter) -> tuple[int, ...] | None:
    """Beats of each sign of a bar with its slashes; None where signs and beats disagree.

    Without slashes the signs share the bar evenly, in whole beats.
    """
    if bar.slashed:
        if bar.count != meter.beats:
            return None
        return tuple(1 + sign.slashes for sign in bar.signs)
    share, rest = divmod(meter.beats, len(bar.signs))
    return None if rest else (share,) * len(bar.signs)


def check(chart: Chart, mistakes: Mistakes) -> None:
    """Note every mistake that shows only between parts."""
    if not chart.sections:
        return
    _check_signs(chart, mistakes)
    _check_columns(chart, mistakes)
    _check_bass_rules(chart, mistakes)
    _check_length(chart, mistakes)
    if all(section.optional for section in chart.sections):
        mistakes.add(
            chart.sections[0].line,
            1,
            "every section is optional, so nothing would have to be played",
            "take `optional` off one of them",
        )


def _numbered(section: Section) -> Iterator[tuple[str, WrittenBar]]:
    """The bars of a section with what to call them: `bar 3` counts its main lines."""
    number = 0
    for line in section.lines:
        for way_place, way in enumerate(line.ways):
            for place, bar in enumerate(way.bars, 1):
                yield (
                    (f"bar {place} of an `or` line" if way_place else f"bar {number + place}"),
                    bar,
                )
        number += len(line.ways[0].bars)


def _check_signs(chart: Chart, mistakes: Mistakes) -> None:
    """Signs against beats, in the first playing of a bar that shows the mistake."""
    noted: set[tuple[int, int]] = set()
    for section in chart.sections:
        for called, bar in _numbered(section):
            meter = bar.meter or section.meter or chart.header.meter
            place = (bar.line, bar.column)
            if not bar.signs or place in noted or sign_beats(bar, meter):
                continue
            noted.add(place)
            again = bar.line < section.line
            played = f" when it is played again in {meter} (line {section.line})" if again else ""
            mistakes.add(
                *place,
                f"{called} of [{section.name}] has {plural(bar.count, 'sign')} "
                f"for {plural(meter.beats, 'beat')}{played}",
                "write a slash for each further beat, as in | G / / D |, "
                "or give the bar a meter, as in | 2/4: A |",
            )


def _check_columns(chart: Chart, mistakes: Mistakes) -> None:
    """Columns of notes written out against beats, in the first playing that shows it."""
    noted: set[tuple[int, int]] = set()
    for section in chart.sections:
        for called, bar in _numbered(section):
            meter = bar.meter or section.meter or chart.header.meter
            for notes in bar.hands:
                place = (notes.line, notes.column)
                if place in noted or columns_fit(notes.columns, meter):
                    continue
                noted.add(place)
                mistakes.add(
                    *place,
                    f"{called} of [{section.name}] has {plural(notes.columns, 'column')} "
                    f"for the {notes.hand} hand, which do not fit a bar of {meter}",
                    f"write {meter.beats} columns, or {2 * meter.beats} for half beats; "
                    "a comma splits one column: E4,F4",
                )


def _check_bass_rules(chart: Chart, mistakes: Mistakes) -> None:
    """A rule that meets no chord would leave every bar of the song under the wrong bass.

    Not looked at while bars have mistakes: the chord may be one of those.
    """
    bars = [bar for section in chart.sections for _, bar in _numbered(section)]
    if not all(bar.signs for bar in bars):
        return
    played = {sign.chord for bar in bars for sign in bar.signs}
    for rule in chart.header.bass:
        if rule.chord not in played:
            mistakes.add(
                rule.line,
                rule.column,
                f"no plain {rule.chord.text} stands in the chart for this bass rule",
                "a rule is about the symbol exactly as written: A7 and A/E are not A",
            )


def _check_length(chart: Chart, mistakes: Mistakes) -> None:
    bars = 0
    for section in chart.sections:
        for place, line in enumerate(section.lines):
            bars += section.count_of(place).written * sum(len(way.bars) for way in line.ways)
            if bars > MOST_BARS:
                mistakes.add(
                    section.line if section.line > line.line else line.line,
                    1,
                    f"from here on the song has more than {MOST_BARS} bars",
                    "look for a count that is too large",
                )
                return
