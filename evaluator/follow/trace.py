"""Which way through the song explains the whole take best?

Reads a follower's steps backwards from the cheapest end (the backtrack of dynamic time
warping) and turns the chain of placed strikes into visits of bars with times.
"""

from dataclasses import dataclass, field

import numpy as np

from evaluator.follow.follower import BREATH, LEAP, ORNAMENT, PAUSE, RESTART, START, Follower
from evaluator.follow.grid import Grid, is_rest
from evaluator.follow.path import Entry, PlacedStrike

IN_TIME = 0.25
"""Seconds about the bar line within which a new beginning is heard as going on."""
RECENT, UNUSUAL = 8, 2.5
"""In a chart without patterns: a silence so many times the mean gap of the last strikes is
no part of the playing."""
LEFT_OPEN = 4.0
"""At most this, nats, for strikes that the last bar still wanted: a player may stop anywhere."""


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
    loose = _left_over(follower)
    best_step, best_cell, best_cost = -1, -1, 0.0
    for number, step in enumerate(follower.steps):
        if not len(step.cost) or float(step.cost[0]) > best_cost:
            continue  # cells stand cheapest first and no ending is a gain
        bar = grid.bar[step.position]
        left = follower.wanted_by_end[bar] - grid.wanted_through[step.position]
        total = step.cost + ending[bar] + np.minimum(follower.costs.missed * left, LEFT_OPEN)
        total = total + loose[number]
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


def _left_over(follower: Follower) -> list[float]:
    """Price of ending with each strike, for what comes after it."""
    if not follower.grid.graph.has_patterns:
        return [0.0] * len(follower.times)
    prices, in_breath = [0.0], 0
    times = follower.times
    for before, after in zip(times[-2::-1], times[:0:-1], strict=True):
        in_breath = in_breath + 1 if after - before < BREATH else 0
        prices.append(follower.costs.loose(in_breath))
    return prices[::-1]


def visits(chain: list[Link], follower: Follower) -> list[Visit]:
    """The bars that the chain passes through, silent ones included."""
    grid = follower.grid
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
            found.extend(_silent_before(bar, grid))
            found.append(Visit(bar, "onward" if found else "start"))
        elif link.kind in (LEAP, RESTART):
            way, late = _leapt(found[-1], link, follower)
            if link.kind == RESTART and not _in_time(found[-1], link, follower, late):
                found.append(Visit(bar, "restart"))
            else:
                found.extend(_onward(found[-1].bar, way, grid))
        elif bar != found[-1].bar:
            passed = on_line[rank[found[-1].bar] + 1 : rank[bar] + 1].tolist()
            found.extend(_onward(found[-1].bar, passed, grid))
        found[-1].links.append(link)
    found.extend(_silent_after(found[-1].bar, grid))
    return found


def _silent_before(bar: int, grid: Grid) -> list[Visit]:
    """Bars of rest with which the song begins, when the first strike comes after them."""
    rests: list[int] = []
    graph = grid.graph
    here = graph.starts[0]
    while here != bar and is_rest(graph.bars[here]) and graph.successors[here]:
        rests.append(here)
        here = graph.successors[here][0]
    if here != bar:
        return []
    return [Visit(rest, "onward" if place else "start") for place, rest in enumerate(rests)]


def _silent_after(bar: int, grid: Grid) -> list[Visit]:
    """Bars of rest with which the song ends, after the last strike."""
    rests: list[Visit] = []
    graph = grid.graph
    while bar not in graph.finals and graph.successors[bar]:
        bar = graph.successors[bar][0]
        if not is_rest(graph.bars[bar]):
            return []
        rests.append(Visit(bar, "onward"))
    return rests


def _leapt(before: Visit, link: Link, follower: Follower) -> tuple[list[int], float]:
    """The bars that a leap went over, rests that passed and at last the strike's own.

    And how late the strike came, in seconds, if it was to go on in time.
    """
    grid, last = follower.grid, before.links[-1]
    step, bar = follower.steps[last.strike], int(grid.bar[link.position])
    ratio = float(step.ratio[last.cell])
    elapsed = follower.times[link.strike] - float(step.beat_time[last.cell])
    due = float(grid.x[last.position]) + elapsed / ratio
    left, way = before.bar, []
    behind = int(grid.rest_after[left])
    while behind != left and follower.is_over(behind, due):
        left, behind = behind, int(grid.rest_after[behind])
        way.append(left)
    # Rests before the bar passed as well if its strike came so much later.
    over = due - float(grid.bar_x[left] + grid.bar_length[left])
    end = float(grid.bar_x[bar] + grid.bar_length[bar])
    through = (grid.bar_x <= grid.bar_x[bar]) & (grid.bar_x + grid.room > end - 1e-6)
    ahead = sorted(np.flatnonzero(through).tolist(), key=lambda one: float(grid.bar_x[one]))
    late = [over - float(grid.x[link.position] - grid.bar_x[one]) for one in ahead]
    first = min(range(len(ahead)), key=lambda place: abs(late[place]))
    return way + ahead[first:], late[first] * ratio


def _onward(before: int, passed: list[int], grid: Grid) -> list[Visit]:
    stays = []
    for bar in passed:
        stays.append(Visit(bar, _entry(before, bar, grid)))
        before = bar
    return stays


def _in_time(before: Visit, link: Link, follower: Follower, late: float) -> bool:
    """Whether a new beginning came just when the bar before it had been played to its end."""
    grid, last, times = follower.grid, before.links[-1], follower.times
    ratio = float(follower.steps[last.strike].ratio[last.cell])
    beat = grid.graph.bars[before.bar].seconds_per_beat * ratio
    if abs(late) > min(IN_TIME, beat / 2):
        return False
    if grid.graph.has_patterns:
        unplayed = follower.wanted_by_end[before.bar] - grid.wanted_through[last.position]
        return bool(unplayed < 0.5)
    recent = times[max(last.strike - RECENT, 0) : last.strike + 1]
    usual = (recent[-1] - recent[0]) / max(len(recent) - 1, 1)
    return times[link.strike] - times[last.strike] < UNUSUAL * usual


def _entry(before: int, bar: int, grid: Grid) -> Entry:
    """How a bar was reached at the end of the one before it."""
    if bar not in grid.graph.successors[before]:
        return "jump"
    return "onward" if grid.graph.successors[before][0] == bar else "choice"


def is_halt(link: Link) -> bool:
    """Whether the strike came after a halt, or after breaking off."""
    return link.kind in (PAUSE, RESTART)
