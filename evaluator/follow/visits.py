"""Which bars does a chain of placed strikes pass through, silent ones among them, and how was each
of them reached?"""

from dataclasses import dataclass, field

import numpy as np

from evaluator.follow.follower import LEAP, ORNAMENT, PAUSE, RESTART, SHORT, START, Follower
from evaluator.follow.grid import Grid, is_rest, opening
from evaluator.follow.path import Entry, PlacedStrike
from evaluator.follow.positions import AS_WRITTEN
from evaluator.follow.trace import Link

IN_TIME = 0.25
"""Seconds about the bar line within which a new beginning is heard as going on."""
SAME_PLACE = 0.26
"""Beats within which two strikes stand at the same place of a bar."""
MISSED_AT_END = 1.5
"""A bar of which fewer strikes are left was played to its end, one of them missed perhaps."""
RECENT, UNUSUAL = 8, 1.6
"""In a chart without patterns: a silence so many times the mean gap of the last strikes is
no part of the playing."""


@dataclass(slots=True)
class Visit:
    """One stay in a bar; `visits` fills it, `timing` gives it its times."""

    bar: int
    """As laid on the line."""
    entry: Entry
    links: list[Link] = field(default_factory=list)
    ornaments: list[int] = field(default_factory=list)
    in_time: bool = False
    """Begun anew just when the bar before it was due to end."""

    def placed(self, grid: Grid) -> tuple[PlacedStrike, ...]:
        beat_of = grid.beat.item
        return tuple(PlacedStrike(link.strike, beat_of(link.position)) for link in self.links)


def visits(chain: list[Link], follower: Follower) -> list[Visit]:
    """The bars that the chain passes through, silent ones included."""
    grid = follower.grid
    on_line = np.argsort(grid.bar_x, kind="stable")
    rank = np.empty_like(on_line)
    rank[on_line] = np.arange(len(on_line))
    found: list[Visit] = []
    bars = grid.bar[[link.position for link in chain]].tolist()
    for link, bar in zip(chain, bars, strict=True):
        if link.kind == ORNAMENT:
            found[-1].ornaments.append(link.strike)
            continue
        if link.kind == START:
            found.extend(_silent_before(bar, grid))
            found.append(Visit(bar, "onward" if found else "start"))
        elif link.kind == SHORT:
            found.extend(_onward(found[-1].bar, [bar], grid))
        elif link.kind in (LEAP, RESTART):
            before = found[-1]
            way, late = _leapt(before, link, follower)
            in_time = link.kind == LEAP or _in_time(before, follower, late)
            played_out = in_time and _played_out(before, link, follower)
            if link.kind == LEAP and _goes_on(before, link, grid):
                link = link._replace(kind=PAUSE)
            elif not played_out and (link.kind == RESTART or _goes_back(before.bar, bar, grid)):
                found.append(Visit(bar, "restart", in_time=in_time))
            else:
                found.extend(_onward(before.bar, way, grid))
        elif bar != found[-1].bar:
            passed = on_line[rank[found[-1].bar] + 1 : rank[bar] + 1].tolist()
            found.extend(_onward(found[-1].bar, passed, grid))
        found[-1].links.append(link)
    _hear_again(found, grid)
    found.extend(_silent_after(found[-1].bar, grid))
    return found


def _goes_on(before: Visit, link: Link, grid: Grid) -> bool:
    """Whether a strike comes where the bar was left, after a halt as long as the bar."""
    here = float(grid.beat[link.position])
    same = grid.of[grid.bar[link.position]] == grid.of[before.bar]
    return bool(same) and here > _reach(before, grid) + SAME_PLACE


def _goes_back(before: int, bar: int, grid: Grid) -> bool:
    """Whether a bar does not lie ahead, nor may come again."""
    ahead = grid.bar_x[grid.of[bar]] > grid.bar_x[grid.of[before]]
    return not ahead and not grid.may_follow(before, bar)


def _hear_again(found: list[Visit], grid: Grid) -> None:
    """A bar left in time was not broken off if no more of it is played when it comes again."""
    for place, visit in enumerate(found):
        if not visit.in_time:
            continue
        left = found[place - 1]
        bar = grid.of[left.bar]
        again = next((one for one in found[place:-1] if grid.of[one.bar] == bar), None)
        if again is not None and _reach(again, grid) <= _reach(left, grid) + SAME_PLACE:
            visit.entry = _entry(left.bar, visit.bar, grid)


def _reach(visit: Visit, grid: Grid) -> float:
    """Beat of the last strike."""
    return max((float(grid.beat[link.position]) for link in visit.links), default=0.0)


def _silent_before(bar: int, grid: Grid) -> list[Visit]:
    """Bars of rest with which the song begins, when the first strike comes after them."""
    first, here = opening(grid.graph), int(grid.of[bar])
    rests = [rest + bar - here for rest in first[: first.index(here)]] if here in first else []
    return [Visit(rest, "onward" if place else "start") for place, rest in enumerate(rests)]


def _silent_after(bar: int, grid: Grid) -> list[Visit]:
    """Bars of rest with which the song ends, after the last strike."""
    rests: list[Visit] = []
    while int(grid.of[bar]) not in grid.graph.finals and grid.following(bar):
        bar = grid.following(bar)[0]
        if not is_rest(grid.chart_bar(bar)):
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
    left = int(follower.left(np.array([before.bar]), np.array([due]))[0])
    way, passed = [], before.bar
    while passed != left:
        passed = int(grid.rest_after[passed])
        way.append(passed)
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


def _in_time(before: Visit, follower: Follower, late: float) -> bool:
    """Whether a new beginning came just when the bar before it was due to end."""
    last = before.links[-1]
    ratio = float(follower.steps[last.strike].ratio[last.cell])
    beat = follower.grid.chart_bar(before.bar).seconds_per_beat * ratio
    return abs(late) <= min(IN_TIME, beat / 2)


def _played_out(before: Visit, link: Link, follower: Follower) -> bool:
    """Whether the bar before a new beginning had been played to its end."""
    grid, last, times = follower.grid, before.links[-1], follower.times
    if grid.manner[before.bar] == AS_WRITTEN:
        unplayed = follower.wanted_by_end[before.bar] - grid.wanted_through[last.position]
        return bool(unplayed < MISSED_AT_END)
    recent = times[max(last.strike - RECENT, 0) : last.strike + 1]
    usual = (recent[-1] - recent[0]) / max(len(recent) - 1, 1)
    return times[link.strike] - times[last.strike] < UNUSUAL * usual


def _entry(before: int, bar: int, grid: Grid) -> Entry:
    """How a bar was reached at the end of the one before it."""
    if not grid.may_follow(before, bar):
        return "jump"
    nominal = grid.graph.successors[int(grid.of[before])][0]
    return "onward" if nominal == grid.of[bar] else "choice"
