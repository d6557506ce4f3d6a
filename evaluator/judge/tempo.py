"""How fast was it, and how steady?

The tempo is the median of the bars', each against the tempo that the chart has there.
Steadiness is what is left of it about its own slow course, which is drawn over about
eight beats (Sogorski, Geisel, Priesemann 2018, arXiv 1710.05608): wandering slowly is
not unsteady, swaying from bar to bar is.
"""

from collections.abc import Sequence
from statistics import fmean, median
from typing import NamedTuple

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.judge.pace import Floats
from evaluator.judge.verdict import BarVerdict, Drift, SectionTempo, Tempo

COURSE_BEATS = 8.0
MUCH = 1.2
"""A section has a tempo of its own that is so many times as fast or as slow as the rest;"""
MOST_BARS = 0.75
"""so large a part of its bars must be beyond half of that, and"""
LEAST_BARS = 4
"""it must have so many: fewer are an ending, or a hesitation. Common practice, no source."""

LITTLE_BY_LITTLE = 0.85
"""Correlation of the tempo with the place in the take from which on it drifts;"""
EACH_HALF = 0.2
"""and each half has so large a part of the whole change: one slow section is no drift."""
LEAST_DRIFT = 12
"""Bars that show it. Common practice, no source."""


class BarPace(NamedTuple):
    """A played bar: how long it should have lasted, and how long it did."""

    beats: float
    written: float
    """Seconds at the chart's tempo."""
    taken: float
    """Seconds of the take."""


def judge_tempo(graph: BarGraph, bars: Sequence[BarPace]) -> Tempo:
    """The tempo of a take, from the whole bars that were judged."""
    if not bars:
        return Tempo(graph.bpm, graph.bpm, 0.0, graph.tempo_stated)
    ratios = [written / taken for _, written, taken in bars]
    rest = []
    for index, ratio in enumerate(ratios):
        # As many bars to either side as make up the course with this one.
        side = max(1, round(COURSE_BEATS / bars[index].beats) // 2)
        around = ratios[max(0, index - side) : index + side + 1]
        rest.append(ratio / fmean(around) - 1.0)
    spread = 100.0 * float(np.std(rest))
    return Tempo(graph.bpm, graph.bpm * median(ratios), spread, graph.tempo_stated)


def section_tempi(graph: BarGraph, verdicts: Sequence[BarVerdict]) -> tuple[SectionTempo, ...]:
    """Sections that were played much slower or faster than the rest, in the order of the song."""
    ratios: dict[int, list[float]] = {}
    for verdict in verdicts:
        bar = graph.bars[verdict.bar]
        if verdict.judged:
            ratio = verdict.bpm * bar.seconds_per_beat / 60.0
            ratios.setdefault(bar.section_index, []).append(ratio)
    found = []
    for section, own in sorted(ratios.items()):
        others = [ratio for other, rest in ratios.items() if other != section for ratio in rest]
        if min(len(own), len(others)) < LEAST_BARS:
            continue
        usual = median(others)
        off = median(own) / usual
        beyond = [ratio / usual if off > 1 else usual / ratio for ratio in own]
        plainly = sum(one > 1 + (MUCH - 1) / 2 for one in beyond) >= MOST_BARS * len(own)
        if max(off, 1 / off) > MUCH and plainly:
            found.append(SectionTempo(section, graph.bpm * median(own), graph.bpm * usual))
    return tuple(found)


def drift(graph: BarGraph, verdicts: Sequence[BarVerdict]) -> Drift | None:
    """A take that gets slower, or faster, little by little; None if its tempo stays, or goes up
    and down. Found by a straight line through the logarithms of its bars' tempi (least squares)."""
    ratios = [
        verdict.bpm * graph.bars[verdict.bar].seconds_per_beat / 60.0
        for verdict in verdicts
        if verdict.judged
    ]
    if len(ratios) < LEAST_DRIFT:
        return None
    tempi = np.log(ratios)
    change, correlation = _line(tempi)
    halves = np.array_split(tempi, 2)
    both = all(_line(half)[0] / change >= EACH_HALF for half in halves) if change else False
    if abs(change) < np.log(MUCH) or abs(correlation) < LITTLE_BY_LITTLE or not both:
        return None
    middle = float(tempi.mean())
    first, last = np.exp([middle - change / 2, middle + change / 2]) * graph.bpm
    return Drift(float(first), float(last))


def _line(values: Floats) -> tuple[float, float]:
    """How much a straight line through the values rises, and their correlation with it."""
    places = np.linspace(-0.5, 0.5, len(values))
    slope = float(places @ (values - values.mean()) / (places @ places))
    spread = float(np.std(values))
    return slope, slope * float(np.std(places)) / spread if spread else 0.0
