"""When did each bar begin and end?

The strikes of a path, unrolled into one line of performed time (bars in the order in
which they were played, each at its written length), give the beat as a function of the
clock. A bar line lies between where a straight line through the strikes about it passes and
the strike that was made on it, each weighing as much as it is sure (inverse variances; Kalman
1960, J. Basic Eng. 82(1), for one place at a time): among many strikes the line averages the
hand's scatter away, among few, or where the tempo bends, the strike says more. A halt or a
restart starts a new stretch.

Units: places are performed written seconds, times are seconds of the take.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from evaluator.follow.costs import DRIFT, SCATTER
from evaluator.follow.follower import BESIDE
from evaluator.follow.grid import Grid
from evaluator.follow.positions import Floats
from evaluator.follow.trace import begins_anew, is_halt
from evaluator.follow.visits import Visit

ENOUGH = 6
"""Strikes on either side of a bar line that take part in the fit."""
ON_THE_LINE = 0.020
"""Seconds: a hand's scatter on a bar line, where it is surest. Common practice, no source."""
TEMPO_DOUBT = 0.3
"""Relative uncertainty of the tempo at one place, by that of the whole take."""
SURPRISING = 3.0
"""Standard deviations from what was expected beyond which a strike is not weighed against it."""


@dataclass(frozen=True, slots=True)
class Stay:
    """Times of one visit; `pause` is the longest halt in it and `pause_beat` its place."""

    start: float
    end: float
    beats_played: float
    pause: float
    pause_beat: float


@dataclass(slots=True)
class _Stretch:
    """Strikes between two halts."""

    places: list[float] = field(default_factory=list)
    times: list[float] = field(default_factory=list)


@dataclass(slots=True)
class _Bounds:
    """Where a visit lies on the unrolled line, and on which stretches its bar lines fall."""

    begin: float
    end: float
    first: int
    last: int
    pause: float = 0.0
    pause_beat: float = 0.0


def stays(visits: list[Visit], times: list[float], grid: Grid) -> list[Stay]:
    """Times of each visit; `times` are the strikes' seconds."""
    stretches, bounds = _unroll(visits, times, grid)
    tempo = _tempo(stretches)
    lines = [(bound.first, bound.begin) for bound in bounds]
    lines += [(bound.last, bound.end) for bound in bounds]
    clock = _times_at(lines, stretches, tempo)
    starts, ends = clock[: len(bounds)], clock[len(bounds) :]
    found = []
    for number, (visit, bound) in enumerate(zip(visits, bounds, strict=True)):
        following = bounds[number + 1] if number + 1 < len(visits) else None
        beats = float(grid.chart_bar(visit.bar).beats)
        if following is not None and visits[number + 1].entry == "restart":
            end, beats = _broken_off(visit, times, grid, starts[number], tempo)
            end = min(end, starts[number + 1])
        elif following is not None and _is_early(visits[number + 1]):
            end = starts[number + 1]
            beats = _beats_till(end, visit, times, grid, tempo)
        elif following is not None and following.first == bound.last:
            end = starts[number + 1]
        else:
            end = ends[number]
            if following is not None:
                end = min(end, starts[number + 1])
        end = max(end, starts[number] + 1e-3)
        found.append(Stay(starts[number], end, beats, bound.pause, bound.pause_beat))
    return found


def _unroll(
    visits: list[Visit], times: list[float], grid: Grid
) -> tuple[list[_Stretch], list[_Bounds]]:
    stretches, bounds = [_Stretch()], []
    begin = 0.0
    positions = [link.position for visit in visits for link in visit.links]
    into_bars = (grid.x[positions] - grid.bar_x[grid.bar[positions]]).tolist()
    at = 0
    for visit, length in zip(
        visits, grid.bar_length[[v.bar for v in visits]].tolist(), strict=True
    ):
        links, into = visit.links, into_bars[at : at + len(visit.links)]
        at += len(links)
        anew = bool(links) and (begins_anew(links[0]) or (is_halt(links[0]) and into[0] < 1e-9))
        end = begin + length
        bound = _Bounds(begin, end, len(stretches) - 1 + anew, len(stretches) - 1)
        for link, offset in zip(links, into, strict=True):
            if link.kind == BESIDE:
                continue
            place, time, open_stretch = begin + offset, times[link.strike], stretches[-1]
            if is_halt(link) or begins_anew(link):
                silence = time - open_stretch.times[-1]
                due = 0.0
                if visit.entry != "restart" or link is not links[0]:
                    due = (place - open_stretch.places[-1]) * _tempo(stretches)
                if silence - due > bound.pause:
                    beat = float(grid.beat[link.position])
                    bound.pause, bound.pause_beat = silence - due, beat
                stretches.append(_Stretch())
            stretches[-1].places.append(place)
            stretches[-1].times.append(time)
        bound.last = len(stretches) - 1
        bounds.append(bound)
        begin = end
    return stretches, bounds


def _tempo(stretches: list[_Stretch]) -> float:
    """Seconds of the take per written second, over all stretches."""
    clock = sum(part.times[-1] - part.times[0] for part in stretches if part.times)
    song = sum(part.places[-1] - part.places[0] for part in stretches if part.places)
    return clock / song if song > 0 and clock > 0 else 1.0


def _broken_off(
    visit: Visit, times: list[float], grid: Grid, start: float, tempo: float
) -> tuple[float, float]:
    """Time and beat before which a bar was broken off: where the next strike was due."""
    if not visit.links:
        return start, 0.0
    last = visit.links[-1]
    due = int(grid.ahead[last.position, 0])
    if grid.bar[due] != visit.bar:
        beats = float(grid.chart_bar(visit.bar).beats)
        left = grid.bar_x[visit.bar] + grid.bar_length[visit.bar] - grid.x[last.position]
    else:
        beats = float(grid.beat[due])
        left = grid.x[due] - grid.x[last.position]
    return times[last.strike] + float(left) * tempo, beats


def _is_early(visit: Visit) -> bool:
    """Whether the bar before was cut short."""
    return bool(visit.links) and begins_anew(visit.links[0])


def _beats_till(end: float, visit: Visit, times: list[float], grid: Grid, tempo: float) -> float:
    """Beats of a bar until it was cut short."""
    bar = grid.chart_bar(visit.bar)
    if not visit.links:
        return float(bar.beats)
    last = visit.links[-1]
    since = (end - times[last.strike]) / (bar.seconds_per_beat * tempo)
    return min(float(grid.beat[last.position]) + since, float(bar.beats))


_BEFORE, _THEN = np.arange(-ENOUGH, 0), np.arange(ENOUGH)
_IS_THEN = np.arange(2 * ENOUGH) >= ENOUGH
"""Places in a row of the strikes before a bar line and of those from then on."""


def _times_at(
    lines: Sequence[tuple[int, float]], stretches: list[_Stretch], tempo: float
) -> list[float]:
    """Clock times of performed places, each with the number of its stretch: what the strikes
    about it lead one to expect, and the strike on it, each as much as it can be relied on.

    A strike that unsettled is believed if those after it, or those before, bear it out by
    themselves: the tempo turns there, or a breath was taken. With one that neither does the bar
    begins if it comes late, as nothing of the bar was struck before.
    """
    until = [*accumulate(len(stretch.places) for stretch in stretches)]
    rows = []
    for number, place in lines:
        where, first = stretches[number].places, until[number] - len(stretches[number].places)
        about_it = (bisect_left(where, place - 1e-6), bisect_left(where, place + 1e-6), len(where))
        rows.append((first, *(first + at for at in about_it)))
    begin, after, on_it, end = np.array(rows, np.intp).T
    places = np.array([place for stretch in stretches for place in stretch.places])
    times = np.array([time for stretch in stretches for time in stretch.times])
    about = np.hstack((after[:, None] + _BEFORE, on_it[:, None] + _THEN))
    there = (about >= begin[:, None]) & (about < end[:, None])
    about = np.where(there, about, begin[:, None])
    away = places[about] - np.array([[place] for _, place in lines])
    strike = times[np.minimum(after, end - 1)]
    sides = (there, there & _IS_THEN, there & ~_IS_THEN)
    fits = [_expected(away, times[about], side, tempo) for side in sides]
    straight, _ = fits[0]
    unsettled = on_it > after
    found = np.where(unsettled, np.maximum(strike, straight), straight)
    for side, (expected, doubt) in zip(sides, fits, strict=True):
        near = np.abs(strike - expected) <= SURPRISING * np.sqrt(doubt + SCATTER**2)
        believed = unsettled & side.any(axis=1) & near
        weighed = expected + (strike - expected) * doubt / (doubt + ON_THE_LINE**2)
        found[believed] = weighed[believed]
        unsettled &= ~believed
    alone = ~there.any(axis=1)
    found[alone] = strike[alone]
    clock: list[float] = found.tolist()
    return clock


def _expected(
    away: Floats, times: Floats, those: NDArray[np.bool_], tempo: float
) -> tuple[Floats, Floats]:
    """(R,) when each place was, and the variance of that, by a straight line through some
    strikes: the farther away they are, the less is known of the tempo between.

    `away` and `times`, (R, K): how far beyond the place each strike stands, and when it was;
    `those`: which of them count.
    """
    weights = those / (SCATTER**2 + (DRIFT * tempo * away) ** 2)
    total = np.maximum(weights.sum(axis=1), 1e-9)
    x, t = (weights * away).sum(axis=1) / total, (weights * times).sum(axis=1) / total
    along, late = away - x[:, None], times - t[:, None]
    # Beforehand a tempo is as likely to be a quarter off that of the take as not.
    known = 1 / (TEMPO_DOUBT * tempo) ** 2
    spread = (weights * along**2).sum(axis=1) + known
    slope = ((weights * along * late).sum(axis=1) + known * tempo) / spread
    # Strikes that lie on no straight line, as where the tempo changes, say less.
    off = (weights * (late - slope[:, None] * along) ** 2).sum(axis=1)
    bent = off / np.maximum(those.sum(axis=1), 1)
    return t - x * slope, np.maximum(bent, 1.0) * (1 / total + x * x / spread)
