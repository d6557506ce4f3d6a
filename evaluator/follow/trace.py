"""Which way through the song explains the whole take best?

Reads a follower's steps backwards from the cheapest end (the backtrack of dynamic time
warping).
"""

from typing import NamedTuple

import numpy as np

from evaluator.follow.follower import BREATH, ORNAMENT, PAUSE, RESTART, SHORT, Cells, Follower
from evaluator.follow.positions import Floats

LAST = 64
"""Strikes at the end of a take with one of which the way ends as a rule."""
SAME = 1e-9
"""Costs no farther apart than this are the same, nats."""
TOGETHER = 1024
"""Strikes whose hypotheses are looked at together."""
LEFT_OPEN = 4.0
"""At most this, nats, for strikes that the last bar still wanted: a player may stop anywhere."""


class Link(NamedTuple):
    """One strike on the best way."""

    strike: int
    cell: int
    """Index into the follower's cells after that strike."""
    position: int
    kind: int
    cost: float
    """Of the way so far, nats,"""
    amiss: float
    """and what the strikes under the sign lack."""


def best_chain(follower: Follower, *, over: bool = True) -> tuple[list[Link], float]:
    """The cheapest chain of strikes from a start to an end, and its cost (0 if none).

    `over`: nothing more will come, so that bars with which the song may end are likelier.
    """
    form = follower.form
    ending = form.ending() if over else np.zeros_like(form.ending())
    best_step, best_cell, best_cost = _cheapest_end(follower, ending)
    chain = []
    step_number, cell = best_step, best_cell
    while cell >= 0:
        step = follower.steps[step_number]
        placed = step.position.item(cell), step.kind.item(cell)
        nats = step.cost.item(cell), step.amiss.item(cell)
        chain.append(Link(step_number, cell, *placed, *nats))
        cell = step.back.item(cell)
        step_number -= 1
    return chain[::-1], best_cost


def _cheapest_end(follower: Follower, ending: Floats) -> tuple[int, int, float]:
    """The step and cell with which the way ends, and its cost; -1, -1 and 0 if nothing fits.

    `ending` is (N,), the price of ending with each bar.
    """
    loose = _left_over(follower)
    numbers = [number for number, step in enumerate(follower.steps) if len(step.cost)]
    # Cells stand cheapest first and no ending is a gain: most steps are beyond what the last
    # few can end with.
    bound = _best_of(numbers[-LAST:], loose, ending, follower)[2] + 2 * SAME
    hopeful = [number for number in numbers if follower.steps[number].cost.item(0) <= bound]
    return _best_of(hopeful, loose, ending, follower)


def _best_of(
    numbers: list[int], loose: Floats, ending: Floats, follower: Follower
) -> tuple[int, int, float]:
    """The cheapest end of some steps, the first of those that are the same."""
    best_step, best_cell, best_cost = -1, -1, 0.0
    for at in range(0, len(numbers), TOGETHER):
        few = numbers[at : at + TOGETHER]
        steps = [follower.steps[number] for number in few]
        cells, costs, placed = _cheapest_ends(steps, loose[few], ending, follower)
        for number, cell, cost, ends in zip(few, cells, costs, placed, strict=True):
            if cost < best_cost - SAME and ends:
                best_step, best_cell, best_cost = number, cell, cost
    return best_step, best_cell, best_cost


def _cheapest_ends(
    steps: list[Cells], loose: Floats, ending: Floats, follower: Follower
) -> tuple[list[int], list[float], list[bool]]:
    """The cell with which each step ends best, its cost, and whether its strike has a place.

    Who plays freely at the end may play on: `loose` is the price of what comes after each step.
    """
    grid = follower.grid
    counts = [len(step.cost) for step in steps]
    begins = np.cumsum([0, *counts[:-1]])
    position = np.concatenate([step.position for step in steps])
    bar = grid.bar[position]
    left = follower.wanted_by_end[bar] - grid.wanted_through[position]
    total = np.concatenate([step.cost for step in steps]) + ending[bar]
    total += np.minimum(follower.costs.missed * left, LEFT_OPEN)
    total += np.where(follower.loose[bar], 0.0, np.repeat(loose, counts))
    lowest = np.minimum.reduceat(total, begins)
    equal = np.flatnonzero(total == np.repeat(lowest, counts))
    cells = equal[np.searchsorted(equal, begins)]
    kind = np.concatenate([step.kind for step in steps])[cells]
    return (cells - begins).tolist(), lowest.tolist(), (kind != ORNAMENT).tolist()


def _left_over(follower: Follower) -> Floats:
    """Price of ending with each strike, for what comes after it."""
    silences = np.flatnonzero(np.diff(follower.times) >= BREATH)
    places = np.arange(len(follower.times))
    last = len(places) - 1
    in_breath = np.append(silences, last)[silences.searchsorted(places)] - places
    outside = follower.form.outside
    prices = np.array([outside(many) for many in range(in_breath.max(initial=0) + 1)])
    return np.where(places < last, prices[in_breath], 0.0)


def is_halt(link: Link) -> bool:
    """Whether the strike came after a halt, or after breaking off."""
    return link.kind in (PAUSE, RESTART)


def begins_anew(link: Link) -> bool:
    """Whether a bar begins with the strike at another time than it was due."""
    return link.kind in (RESTART, SHORT)
