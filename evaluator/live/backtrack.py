"""How is the way so far found without going over the whole take each time?

Tracing back costs time, and the hypotheses it needs cost memory, in proportion to the
take. But what lies some twenty bars back does not change any more: the backtrack goes
only so far and is joined to the way known before, at a bar that both have; where they
have none in common it goes to the beginning after all. Of the hypotheses further back
only those are kept from which a present one descends, or with which the song might have
ended.

While the song goes on, no bar is likelier to be the last than another: without that, the
second of four bars that sound alike would be taken for the fourth, and two for missing.

A take of an hour thus costs in its last bar hardly more than in its twentieth.
"""

from dataclasses import replace

import numpy as np

from evaluator.follow.follower import Follower
from evaluator.follow.one_way import trace
from evaluator.follow.path import Path

JOINT = 6
"""Bars that are traced beyond those that may change, to be joined in."""
WHOLE = 200
"""Strikes of which every hypothesis is kept: more than the bars that may change have."""
EVERY = 64
"""Strikes after which it is tidied up again."""


def way(
    follower: Follower, transposed: int, known: Path, young: int, *, over: bool = False
) -> Path:
    """`trace`, with the bars before the last `young` ones as they were known.

    `over`: nothing more will come, so that bars with which the song may end are likelier.
    """
    first = _first_strike(known, len(known.bars) - young - JOINT)
    if first is None:
        return trace(follower, transposed, over=over)
    late = trace(follower.begun_at(first), transposed, over=over)
    return _joined(known, late, first) or trace(follower, transposed, over=over)


def _first_strike(known: Path, bar: int) -> int | None:
    """The first strike of a bar of the way, or of the next one before it that has any."""
    for played in known.bars[bar::-1] if bar > 0 else ():
        if played.strikes:
            return played.strikes[0].strike
    return None


def _joined(known: Path, late: Path, first: int) -> Path | None:
    """The known way up to a bar that the late one begins alike, and from there the late one."""
    places = {
        (played.bar, played.strikes[0].strike): place
        for place, played in enumerate(known.bars)
        if played.strikes and played.strikes[0].strike >= first
    }
    # The first bar may have begun before; its entry and times are not to be trusted.
    for at, played in enumerate(late.bars[1:JOINT], start=1):
        strike = played.strikes[0].strike + first if played.strikes else -1
        place = places.get((played.bar, strike))
        if place is not None:
            bars = (*known.bars[:place], *(bar.counted_on(first) for bar in late.bars[at:]))
            after = tuple(strike + first for strike in late.after)
            return replace(late, bars=bars, before=known.before, after=after)
    return None


class Tidying:
    """Gives up hypotheses that can no longer become part of the way."""

    def __init__(self) -> None:
        self._done = 0
        """Steps that have been tidied up."""

    def tidy(self, follower: Follower) -> None:
        """To be called after every strike."""
        until = len(follower.steps) - WHOLE
        if until - self._done < EVERY:
            return
        ending = follower.form.ending()
        grid = follower.grid
        later = follower.steps[until]
        for number in range(until - 1, self._done - 1, -1):
            step = follower.steps[number]
            kept = np.unique(later.back[later.back >= 0])
            if len(step.cost):
                ends = step.cost + ending[grid.bar[step.position]]
                kept = np.union1d(kept, [int(step.cost.argmin()), int(ends.argmin())])
            place = np.full(len(step.cost) + 1, -1, later.back.dtype)
            place[kept] = np.arange(len(kept))
            follower.steps[number + 1] = later._replace(back=place[later.back])
            later = step.only(kept)
        follower.steps[self._done] = later
        self._done = until
