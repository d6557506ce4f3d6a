"""How fast was it, and how steady?

The tempo is the median of the bars', each against the tempo that the chart has there.
Steadiness is what is left of it about its own slow course, which is drawn over about
eight beats (Sogorski, Geisel, Priesemann 2018, arXiv 1710.05608): wandering slowly is
not unsteady, swaying from bar to bar is.
"""

from collections.abc import Sequence
from statistics import fmean, median

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import Tempo

COURSE_BEATS = 8.0


def judge_tempo(graph: BarGraph, bars: Sequence[tuple[float, float, float]]) -> Tempo:
    """`bars`: of each whole bar that was judged its beats, written seconds and seconds taken."""
    if not bars:
        return Tempo(graph.bpm, graph.bpm, 0.0, graph.tempo_stated)
    ratios = [written / taken for _, written, taken in bars]
    rest = []
    for index, ratio in enumerate(ratios):
        # As many bars to either side as make up the course with this one.
        side = max(1, round(COURSE_BEATS / bars[index][0]) // 2)
        around = ratios[max(0, index - side) : index + side + 1]
        rest.append(ratio / fmean(around) - 1.0)
    spread = 100.0 * float(np.std(rest))
    return Tempo(graph.bpm, graph.bpm * median(ratios), spread, graph.tempo_stated)
