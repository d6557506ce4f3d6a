"""How sure is it that the player was in this bar?

A little later, when the evidence has come in, every live hypothesis remembers where it
was during the bar. The margin is what the cheapest one costs more that was somewhere
else: in a bar that sounds otherwise, or more than half a beat away in time. A bar whose
strikes fit the song no better than aimless playing is doubtful whatever the margin.

The logistic curve was fitted to 8,594 bars of simulated takes (tests/bench/follow.py
prints confidence against truth): at no margin 93 of 100 bars are right, at 6 nats 98,
from 8 nats on 999 of 1000.
"""

from collections.abc import Sequence

import numpy as np

from evaluator.follow.compiled import ancestors
from evaluator.follow.follower import Follower
from evaluator.follow.positions import Floats, Ints
from evaluator.follow.trace import Link
from evaluator.follow.visits import Visit

LAG = 10
"""Strikes after the bar at which the hypotheses are asked."""
SURE = 20.0
"""Margin where no live hypothesis disagrees, nats: the beam."""
AT_NO_MARGIN, PER_NAT = 2.4, 0.28
"""Log-odds of being right at no margin, and for each nat of margin."""
DOUBTFUL_FIT, PER_DOUBT = 0.3, 1.5
"""Gain per strike below which the fit tells against the bar, and log-odds for each nat."""


def confidences(visits: list[Visit], chain: list[Link], follower: Follower) -> list[float]:
    """0 to 1 for each visit; one without strikes is as sure as the one before."""
    struck = [visit for visit in visits if visit.links]
    ends = [(visit.links[0].strike, visit.links[-1].strike) for visit in struck]
    first, last = np.array(ends).T - chain[0].strike
    asked = [chain[place] for place in np.minimum(last + LAG, len(chain) - 1).tolist()]
    middles = [visit.links[len(visit.links) // 2] for visit in struck]
    margin = _margins(middles, asked, follower)
    doubt = np.minimum(_gains(first, last, chain, follower) - DOUBTFUL_FIT, 0.0)
    odds = AT_NO_MARGIN + PER_NAT * margin + PER_DOUBT * doubt
    sure = iter((1.0 / (1.0 + np.exp(-odds))).tolist())
    found: list[float] = []
    for visit in visits:
        found.append(next(sure) if visit.links else found[-1] if found else 0.5)
    return found


def _gains(first: Ints, last: Ints, chain: Sequence[Link], follower: Follower) -> Floats:
    """(V,) nats per strike that each bar gained, between two places of the chain, form prices left
    aside where it was entered.

    What a wrong chord lacks counts in full here, however much of it the way is forgiven.
    """
    beyond = follower.beyond(np.array([link.amiss for link in chain]))
    forgiven = np.maximum(np.diff(beyond, prepend=0.0), 0.0).cumsum()
    cost = np.array([link.cost for link in chain]) + forgiven
    gained, many = cost[first] - cost[last], last - first
    return np.where(many > 0, gained / np.maximum(many, 1), DOUBTFUL_FIT)


def _margins(middles: Sequence[Link], asked: Sequence[Link], follower: Follower) -> Floats:
    """(V,) nats by which the best hypothesis that was elsewhere at the middle of each bar is
    dearer, when it is asked."""
    grid, sound = follower.grid, follower.grid.sound
    costs, where, positions = [], [], []
    for middle, late in zip(middles, asked, strict=True):
        backs = [step.back for step in follower.steps[late.strike : middle.strike : -1]]
        costs.append(follower.steps[late.strike].cost)
        where.append(ancestors(len(costs[-1]), backs))
        positions.append(follower.steps[middle.strike].position[where[-1]])
    counts = [len(cost) for cost in costs]
    here = np.repeat([middle.position for middle in middles], counts)
    position: Ints = np.concatenate(positions)
    other_sound = sound[grid.bar[position]] != sound[grid.bar[here]]
    beats_off = np.abs(grid.beat[position] - grid.beat[here])
    elsewhere = (np.concatenate(where) < 0) | other_sound | (beats_off > 0.5)
    dearer = np.where(elsewhere, np.concatenate(costs), np.inf)
    best = np.minimum.reduceat(dearer, np.cumsum([0, *counts[:-1]]))
    margin = np.maximum(best - np.array([late.cost for late in asked]), 0.0)
    return np.where(np.isfinite(best), margin, SURE)
