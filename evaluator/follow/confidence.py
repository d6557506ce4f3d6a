"""How sure is it that the player was in this bar?

A little later, when the evidence has come in, every live hypothesis remembers where it
was during the bar. The margin is what the cheapest one costs more that was somewhere
else: in a bar that sounds otherwise, or more than half a beat away in time. A bar whose
strikes fit the song no better than aimless playing is doubtful whatever the margin.

The logistic curve was fitted to 8,594 bars of simulated takes (tests/bench/follow.py
prints confidence against truth): at no margin 93 of 100 bars are right, at 6 nats 98,
from 8 nats on 999 of 1000.
"""

import math
from itertools import pairwise

import numpy as np

from evaluator.follow.compiled import ancestors
from evaluator.follow.follower import Follower
from evaluator.follow.trace import Link, Visit

LAG = 10
"""Strikes after the bar at which the hypotheses are asked."""
SURE = 20.0
"""Margin where no live hypothesis disagrees, nats: the beam."""
AT_NO_MARGIN, PER_NAT = 2.4, 0.28
"""Log-odds of being right at no margin, and for each nat of margin."""
DOUBTFUL_FIT, PER_DOUBT = 0.3, 1.5
"""Gain per strike below which the fit tells against the bar, and log-odds for each nat."""


def confidences(visits: list[Visit], chain: list[Link], follower: Follower) -> list[float]:
    """0 to 1 for each visit."""
    cell_of = {link.strike: link.cell for link in chain}
    last_strike = chain[-1].strike
    found: list[float] = []
    for visit in visits:
        if not visit.links:
            found.append(found[-1] if found else 0.5)
            continue
        middle = visit.links[len(visit.links) // 2]
        asked = min(visit.links[-1].strike + LAG, last_strike)
        margin = _margin(follower, middle, asked, cell_of[asked])
        doubt = min(_gain(visit, cell_of, follower) - DOUBTFUL_FIT, 0.0)
        odds = AT_NO_MARGIN + PER_NAT * margin + PER_DOUBT * doubt
        found.append(1.0 / (1.0 + math.exp(-odds)))
    return found


def _gain(visit: Visit, cell_of: dict[int, int], follower: Follower) -> float:
    """Nats per strike that the bar gained, form prices left aside where it was entered.

    What a wrong chord lacks counts in full here, however much of it the way is forgiven.
    """
    first, last = visit.links[0].strike, visit.links[-1].strike
    if first == last:
        return DOUBTFUL_FIT
    costs = [follower.steps[at].cost.item(cell_of[at]) for at in (first, last)]
    amiss = [follower.steps[link.strike].amiss.item(link.cell) for link in visit.links]
    beyond: list[float] = follower.beyond(np.array(amiss)).tolist()
    forgiven = sum(max(after - before, 0.0) for before, after in pairwise(beyond))
    return (costs[0] - costs[1] - forgiven) / (last - first)


def _margin(follower: Follower, middle: Link, asked: int, cell: int) -> float:
    """Nats by which the best hypothesis that was elsewhere at `middle` is dearer."""
    grid, sound = follower.grid, follower.grid.sound
    cost = follower.steps[asked].cost
    backs = [step.back for step in follower.steps[asked : middle.strike : -1]]
    where = ancestors(len(cost), backs)
    position = follower.steps[middle.strike].position[where]
    other_sound = sound[grid.bar[position]] != sound[grid.bar[middle.position]]
    beats_off = np.abs(grid.beat[position] - grid.beat[middle.position])
    elsewhere = (where < 0) | other_sound | (beats_off > 0.5)
    if not elsewhere.any():
        return SURE
    return max(float(cost[elsewhere].min() - cost[cell]), 0.0)
