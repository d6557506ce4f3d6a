"""Which way through the song explains the whole take best?

Reads a follower's steps backwards from the cheapest end (the backtrack of dynamic time
warping) and turns the chain of placed strikes into visits of bars with times.
"""

from dataclasses import dataclass, field

import numpy as np

from evaluator.follow.follower import LEAP, ORNAMENT, PAUSE, RESTART, START, Follower
from evaluator.follow.grid import Grid
from evaluator.follow.path import Entry, PlacedStrike


@dataclass(frozen=True, slots=True)
class Link:
    """One strike on the best way."""

    strike: int
    cell: int
    """Index into the follower's cells after that strike."""
    position: int
    kind: int


@dataclass(slots=True)
class Visit:
    """One stay in a bar; `trace` fills it, `timing` gives it its times."""

    bar: int
    entry: Entry
    links: list[Link] = field(default_factory=list)
    ornaments: list[int] = field(default_factory=list)

    def placed(self, grid: Grid) -> tuple[PlacedStrike, ...]:
        return tuple(
            PlacedStrike(link.strike, float(grid.beat[link.position])) for link in self.links
        )


def best_chain(follower: Follower) -> tuple[list[Link], float]:
    """The cheapest chain of strikes from a start to an end, and its cost (0 if none)."""
    ending = follower.form.ending()
    grid = follower.grid
    best_step, best_cell, best_cost = -1, -1, 0.0
    for number, step in enumerate(follower.steps):
        if not len(step.cost) or float(step.cost[0]) > best_cost:
            continue  # cells stand cheapest first and no ending is a gain
        total = step.cost + ending[grid.bar[step.position]]
        cell = int(total.argmin())
        if total[cell] < best_cost - 1e-9 and step.kind[cell] != ORNAMENT:
            best_step, best_cell, best_cost = number, cell, float(total[cell])
    chain = []
    step_number, cell = best_step, best_cell
    while cell >= 0:
        step = follower.steps[step_number]
        chain.append(Link(step_number, cell, int(step.position[cell]), int(step.kind[cell])))
        cell = int(step.back[cell])
        step_number -= 1
    return chain[::-1], best_cost


def visits(chain: list[Link], grid: Grid) -> list[Visit]:
    """The bars that the chain passes through, silent ones included."""
    on_line = np.argsort(grid.bar_x, kind="stable")
    rank = np.empty_like(on_line)
    rank[on_line] = np.arange(len(on_line))
    found: list[Visit] = []
    for link in chain:
        if link.kind == ORNAMENT:
            found[-1].ornaments.append(link.strike)
            continue
        bar = int(grid.bar[link.position])
        if link.kind == START:
            found.append(Visit(bar, "start"))
        elif link.kind == RESTART:
            found.append(Visit(bar, "restart"))
        elif link.kind == LEAP:
            found.append(Visit(bar, _leap_entry(found[-1].bar, bar, grid)))
        elif bar != found[-1].bar:
            passed = on_line[rank[found[-1].bar] + 1 : rank[bar] + 1].tolist()
            found.extend(_onward(found[-1].bar, passed, grid))
        found[-1].links.append(link)
    return found


def _onward(before: int, passed: list[int], grid: Grid) -> list[Visit]:
    stays = []
    for bar in passed:
        nominal = grid.graph.successors[before][:1] == (bar,)
        legal = bar in grid.graph.successors[before]
        entry: Entry = "onward" if nominal else "choice" if legal else "jump"
        stays.append(Visit(bar, entry))
        before = bar
    return stays


def _leap_entry(before: int, bar: int, grid: Grid) -> Entry:
    if bar not in grid.graph.successors[before]:
        return "jump"
    return "onward" if grid.graph.successors[before][0] == bar else "choice"


def is_halt(link: Link) -> bool:
    """Whether the strike came after a halt."""
    return link.kind in (PAUSE, RESTART)
