"""Which way through the song, laid out once and in one key, explains the take best?

Every strike through the follower, and one backtrack.
"""

from collections.abc import Sequence

import numpy as np

from evaluator.follow.compiled import follower as new_follower
from evaluator.follow.confidence import confidences
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import Follower
from evaluator.follow.grid import Grid
from evaluator.follow.hearing import lies_above
from evaluator.follow.likeness import misfit
from evaluator.follow.openings import begin_with_first
from evaluator.follow.path import Path, PlayedBar
from evaluator.follow.positions import AS_WRITTEN, FREELY, Floats
from evaluator.follow.timing import stays
from evaluator.follow.trace import Link, best_chain
from evaluator.follow.visits import visits
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

FULL_GAIN = 2.5
"""Nats per strike of an ordinary take of the right song."""


def follow_in(
    grid: Grid,
    strikes: Sequence[Strike],
    transposed: int,
    gaps: Sequence[Gap] = (),
    tempi: Floats = TEMPI,
    *,
    costs: Costs | None = None,
) -> Path:
    """The path of a take that sounds so many semitones above the chart.

    `tempi`: ratios of played to written length with which it may begin.
    """
    above = lies_above(strikes, grid, transposed)
    follower = new_follower(grid, costs=costs, transposed=above, tempi=tempi)
    for strike in strikes:
        follower.push(strike, gaps)
    return trace(follower, transposed)


def trace(follower: Follower, transposed: int = 0, *, over: bool = True) -> Path:
    """The best path through everything that was pushed so far; `over`: nothing more will come."""
    grid, count = follower.grid, len(follower.times)
    chain, cost = best_chain(follower, over=over)
    if not chain:
        return Path((), transposed, False, 0.0, tuple(range(count)), ())
    stations = visits(chain, follower)
    begin_with_first(stations, follower)
    times = stays(stations, follower.times, grid)
    sure = confidences(stations, chain, follower)
    bars = tuple(
        PlayedBar(
            bar=int(grid.of[visit.bar]),
            entry=visit.entry,
            start=stay.start,
            end=stay.end,
            beats_played=stay.beats_played,
            strikes=visit.placed(grid),
            ornaments=tuple(visit.ornaments),
            pause=stay.pause,
            pause_beat=stay.pause_beat,
            confidence=confidence,
        )
        for visit, stay, confidence in zip(stations, times, sure, strict=True)
    )
    return Path(
        bars=bars,
        transposed=transposed,
        complete=bars[-1].bar in grid.graph.finals,
        fit=max(-cost / (FULL_GAIN * count), 0.0),
        before=tuple(range(chain[0].strike)),
        after=tuple(range(chain[-1].strike + 1, count)),
        freely=_freely(chain, grid),
        rhythm=grid.rhythm,
        misfit=misfit(chain, sum(bar.entry == "jump" for bar in bars), follower),
    )


def _freely(chain: Sequence[Link], grid: Grid) -> float:
    """`Path.freely` of a way."""
    if AS_WRITTEN not in grid.manners:
        return 0.0
    laid = grid.bar[[link.position for link in chain]]
    return float(np.mean(grid.manner[laid] == FREELY))
