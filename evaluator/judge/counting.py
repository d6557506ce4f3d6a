"""Does the player count another number of beats than the chart's bars have?

A beginner who gives each bar of four beats three strikes, evenly, counts a waltz; the changes of
chord say where the bars begin. Not asked of bars whose pattern is just that, and only of one beat
less than four or one more than three: two strikes in a bar of four are half notes. Common
practice, no source.
"""

from bisect import bisect_left
from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.verdict import BarVerdict

INSTEAD: Final = {4: 3, 3: 4}
"""Beats of a bar, and those that are counted in their place."""
NEAR: Final = 0.06
"""Part of the bar by which a strike may be off its place, and within which strikes are one."""
MOST: Final = 0.8
"""Share of the bars that must be counted so,"""
FEWEST: Final = 8
"""of so many at least."""


def beats_counted(
    graph: BarGraph, verdicts: Sequence[BarVerdict], times: Sequence[float]
) -> int | None:
    """How many beats the player counts in each bar in place of the chart's; None where the chart's
    own are counted, or nothing can be told.

    `times`: seconds at which anything was struck, ascending.
    """
    beats = graph.meter.beats
    count = INSTEAD.get(beats)
    bars = [one for one in verdicts if one.judged and graph.bars[one.bar].meter == graph.meter]
    if count is None or graph.meter.unit > 4:
        return None
    bars = [one for one in bars if not _is_written(graph.bars[one.bar], count)]
    if len(bars) < FEWEST:
        return None
    even = sum(_is_even(bar, times, count) for bar in bars)
    return count if even >= MOST * len(bars) else None


def _is_even(bar: BarVerdict, times: Sequence[float], count: int) -> bool:
    """Whether a bar has that many strikes, evenly from bar line to bar line."""
    length = bar.end - bar.start
    first, behind = (bisect_left(times, at - NEAR * length) for at in (bar.start, bar.end))
    parts = [(time - bar.start) / length for time in times[first:behind]]
    moments = [part for at, part in enumerate(parts) if not at or part - parts[at - 1] > NEAR]
    return _are_even(moments, count)


def _is_written(bar: Bar, count: int) -> bool:
    """Whether the chart's own strikes in a bar are that many, evenly."""
    beats = sorted({strike.beat for strike in bar.strikes})
    return _are_even([float(beat / bar.beats) for beat in beats], count)


def _are_even(parts: Sequence[float], count: int) -> bool:
    """Whether there are that many parts of a bar, evenly from its beginning on."""
    return len(parts) == count and all(
        abs(part - place / count) <= NEAR for place, part in enumerate(parts)
    )
