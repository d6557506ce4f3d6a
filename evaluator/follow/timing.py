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
from dataclasses import dataclass, field
from itertools import chain
from math import sqrt
from operator import mul

from evaluator.follow.costs import DRIFT, SCATTER
from evaluator.follow.follower import BESIDE
from evaluator.follow.grid import Grid
from evaluator.follow.trace import Visit, begins_anew, is_halt

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
    first: int
    last: int
    pause: float = 0.0
    pause_beat: float = 0.0


def stays(visits: list[Visit], times: list[float], grid: Grid) -> list[Stay]:
    """Times of each visit; `times` are the strikes' seconds."""
    stretches, bounds = _unroll(visits, times, grid)
    tempo = _tempo(stretches)
    starts = [_time_at(stretches[bound.first], bound.begin, tempo) for bound in bounds]
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
            length = float(grid.bar_length[visit.bar])
            end = _time_at(stretches[bound.last], bound.begin + length, tempo)
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
    for visit in visits:
        links, line = visit.links, float(grid.bar_x[visit.bar])
        offset = float(grid.x[links[0].position]) - line if links else 0.0
        anew = bool(links) and (begins_anew(links[0]) or (is_halt(links[0]) and offset < 1e-9))
        bound = _Bounds(begin, len(stretches) - 1 + anew, len(stretches) - 1)
        for link in links:
            if link.kind == BESIDE:
                continue
            place = begin + (float(grid.x[link.position]) - line)
            time, open_stretch = times[link.strike], stretches[-1]
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
        begin += float(grid.bar_length[visit.bar])
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


def _time_at(stretch: _Stretch, place: float, tempo: float) -> float:
    """Clock time of a performed place: what the strikes about it lead one to expect, and the
    strike on it, each as much as it can be relied on.

    A strike that surprises is believed if those after it, or those before, bear it out by
    themselves: the tempo turns there, or a breath was taken. With one that neither does the bar
    begins if it comes late, as nothing of the bar was struck before.
    """
    after = bisect_left(stretch.places, place - 1e-6)
    on_it = bisect_left(stretch.places, place + 1e-6)
    low, high = max(after - ENOUGH, 0), min(on_it + ENOUGH, len(stretch.places))
    before, then = [*range(low, after)], [*range(on_it, high)]
    if not before and not then:
        return stretch.times[after]
    straight = _expected(stretch, place, before + then, tempo)
    if on_it == after:
        return straight[0]
    strike = stretch.times[after]
    sides = (_expected(stretch, place, side, tempo) for side in (then, before) if side)
    for expected, doubt in chain([straight], sides):
        if abs(strike - expected) <= SURPRISING * sqrt(doubt + SCATTER**2):
            return expected + (strike - expected) * doubt / (doubt + ON_THE_LINE**2)
    return max(strike, straight[0])


def _expected(
    stretch: _Stretch, place: float, strikes: list[int], tempo: float
) -> tuple[float, float]:
    """When a place was, and the variance of that, by a straight line through some strikes: the
    farther away they are, the less is known of the tempo between."""
    away = [stretch.places[at] - place for at in strikes]
    times = [stretch.times[at] for at in strikes]
    weights = [1 / (SCATTER**2 + (DRIFT * tempo * one) ** 2) for one in away]
    total = sum(weights)
    x, t = sum(map(mul, weights, away)) / total, sum(map(mul, weights, times)) / total
    along, late = [one - x for one in away], [time - t for time in times]
    weighed = list(map(mul, weights, along))
    spread = sum(w * one**2 for w, one in zip(weights, along, strict=True))
    # Beforehand a tempo is as likely to be a quarter off that of the take as not.
    known = 1 / (TEMPO_DOUBT * tempo) ** 2
    slope = (sum(map(mul, weighed, late)) + known * tempo) / (spread + known)
    # Strikes that lie on no straight line, as where the tempo changes, say less.
    off = [(time - slope * one) ** 2 for one, time in zip(along, late, strict=True)]
    bent = sum(map(mul, weights, off)) / len(off)
    return t - x * slope, max(bent, 1.0) * (1 / total + x * x / (spread + known))
