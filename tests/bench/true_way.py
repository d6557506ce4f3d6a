"""Why was a take followed otherwise than it was played?

The follower takes the way that costs least. Held to the bars that were truly played, it
finds what the true way costs; the difference says where to look. Below zero, the true way
was the cheaper one and lost on the way: the search is to blame. Above, the chart, the hand
and the prices speak for what was found: by a nat or two the take could be heard either way.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.follower import Cells, Follower
from evaluator.follow.grid import Grid, lay_out
from evaluator.follow.one_way import FULL_GAIN
from evaluator.follow.path import Path
from evaluator.follow.trace import best_chain
from evaluator.take.strike import Strike
from tests.bench.figures import Figure, share

BESIDE = 0.3
"""Seconds by which a strike may come before or after its bar."""
STEPS = (1.0, 3.0, 6.0)
"""Nats that part the lines of the table."""
SAME = 1e-6
"""Nats by which two ways that are the same may differ."""

TrueBars = Sequence[tuple[int, float, float]]
"""Index in the chart, start and end of each bar that was played."""


class Held(Follower):
    """Follows along the bars that were played and along no others."""

    def __init__(self, grid: Grid, bars: TrueBars, *, transposed: int) -> None:
        super().__init__(grid, transposed=transposed)
        self._bars = bars

    def _step(self, strike: Strike) -> Cells:
        begun = len(self._cells.cost) > 0
        cells = super()._step(strike)
        bars = [
            bar for bar, start, end in self._bars if start - BESIDE <= strike.time <= end + BESIDE
        ]
        keep = np.isin(self.grid.of[self.grid.bar[cells.position]], bars)
        # What is struck before the song is paid for here, since nothing else is kept alive.
        before = 0.0 if begun or not self.times else self._outside()
        kept = cells.only(keep)
        return kept._replace(cost=kept.cost + before)


def dearer(graph: BarGraph, bars: TrueBars, strikes: Sequence[Strike], found: Path) -> float:
    """Nats by which the true way costs more than the one that was found, in its key.

    Infinity where the follower knows no way through these bars, as in another tempo.
    """
    held = Held(lay_out(graph, found.rhythm), bars, transposed=found.transposed)
    for strike in strikes:
        held.push(strike)
    chain, cost = best_chain(held)
    if not chain:
        return float("inf")
    return cost + found.fit * FULL_GAIN * len(strikes)


def reasons(dearer: Sequence[float]) -> list[Figure]:
    """The share of takes with a mistake in their form, by what their true way costs more."""
    bounds = (-np.inf, -SAME, SAME, *STEPS, np.inf)
    names = (
        "the true way was cheaper",
        "the same way, told otherwise",
        *(f"dearer by at most {step:g} nats" for step in STEPS),
        f"dearer by more than {STEPS[-1]:g} nats",
    )
    counts = [sum(low < one <= high for one in dearer) for low, high in pairwise(bounds)]
    return [share(name, here, len(dearer)) for name, here in zip(names, counts, strict=True)]
