"""When would each strike have come, had the player gone on as evenly as just then?

A player's time has a slow course, which is tempo, and what is left of it, which is
rhythm; they part at about eight beats (Sogorski, Geisel, Priesemann 2018, arXiv
1710.05608). The course is found by locally weighted regression over eight beats about
each place: a line with a little bend, so that a slowing down at the end is no lateness,
refitted with bisquare weights so that a late strike does not drag its own yardstick
along (the procedure of Cleveland 1979, "Robust locally weighted regression", from
memory).

Units: seconds; `places` are written seconds along the chart, `times` those of the take.
"""

from dataclasses import dataclass
from statistics import median

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

BEATS = 4.0
"""Half of the window."""
SCATTER = 0.030
"""Seconds, a hand's usual scatter: the scale against which the bend and the slope are held."""
BEND = 0.120
"""Seconds that the course may usually bend within half a window."""
SLANT = 0.10
"""Share by which the pace may usually differ from the whole stretch's."""
LEAST_SCATTER = 0.020
"""A take that is exact to less than this is weighed as if it were not."""
ROUNDS = 3
TILE = 2.5
"""In halves of the window. Places are counted from the middle of their tile, so that the sums
of an hour are as exact as those of a minute; a window lies over two tiles at most."""


@dataclass(frozen=True, slots=True)
class Course:
    """The slow course of the tempo over one stretch of playing, to be asked when any place is
    due."""

    middle: float
    reach: float
    """Half of the window, written seconds."""
    line: tuple[float, float]
    """Time at the middle, and seconds of the take for a written second."""
    at: Floats
    tiles: Floats
    """(n,) number of the tile in which each point lies."""
    sums: Floats
    """(8, n + 1) running sums over the points; see `_running`."""

    def times(self, places: Floats) -> Floats:
        """(n,) seconds of the take at which places (n,), written seconds, are due."""
        where = (places - self.middle) / self.reach
        first = np.searchsorted(self.at, where - 1.0 - 1e-9)
        last = np.searchsorted(self.at, where + 1.0 + 1e-9, side="right")
        tile = self.tiles[np.minimum(first, len(self.tiles) - 1)]
        split = np.clip(np.searchsorted(self.tiles, tile, side="right"), first, last)
        begin, middle, end = (self.sums[:, point] for point in (first, split, last))
        s0, m1, m2, m3, m4, r0, t1, t2 = _seen_from(
            where - _middle(tile), middle - begin
        ) + _seen_from(where - _middle(tile + 1.0), end - middle)
        slope = self.line[1] * self.reach
        # The normal equations of level, slant and bend, the latter two held to zero by what
        # is usual of them; solved for the level alone, by Cramer's rule.
        a, b, c = s0 + 1e-6, m2 + (SCATTER / (SLANT * slope)) ** 2, m4 + (SCATTER / BEND) ** 2
        minors = (b * c - m3 * m3, m1 * c - m2 * m3, m1 * m3 - m2 * b)
        level = r0 * minors[0] - t1 * minors[1] + t2 * minors[2]
        level = level / (a * minors[0] - m1 * minors[1] + m2 * minors[2])
        times: Floats = level + self.line[0] + slope * where
        return times


def fit_course(
    places: Floats, times: Floats, weights: Floats, *, reach: float, pace: float
) -> Course:
    """The course through points (n,), n at least 1, by ascending place.

    `weights` say how far each point is to be trusted before its distance is known;
    `reach` is half of the window in written seconds; `pace`, seconds of the take for a
    written second, is what the points of a short stretch are held against.
    """
    middle = float(places.mean())
    line = _line(places - middle, times, weights, (pace, reach))
    at = (places - middle) / reach
    off = times - line[0] - line[1] * (places - middle)
    trust = weights
    tiles: Floats = np.floor(at / TILE)
    local = at - _middle(tiles)
    course = Course(middle, reach, line, at, tiles, _running(local, off, trust))
    for _ in range(ROUNDS):
        distance = np.abs(times - course.times(places))
        scale = 6.0 * max(median(distance.tolist()), LEAST_SCATTER)
        trust = weights * np.clip(1.0 - (distance / scale) ** 2, 0.0, 1.0) ** 2
        trust = np.maximum(trust, 1e-3 * weights)
        course = Course(middle, reach, line, at, tiles, _running(local, off, trust))
    return course


def _line(
    places: Floats, times: Floats, weights: Floats, usual: tuple[float, float]
) -> tuple[float, float]:
    """Weighted straight line through all points, drawn to the usual pace where they are few."""
    pace, reach = usual
    total = weights.sum()
    centre, mean = (weights * places).sum() / total, (weights * times).sum() / total
    spread = (weights * (places - centre) ** 2).sum()
    rise = (weights * (places - centre) * (times - mean)).sum()
    slope = float((rise + reach**2 * pace) / (spread + reach**2))
    return float(mean - slope * centre), slope


def _middle(tile: Floats) -> Floats:
    return (tile + 0.5) * TILE


def _seen_from(q: Floats, sums: Floats) -> Floats:
    """Moments (8, n) about the middle of a tile as those about places beside it."""
    s0, s1, s2, s3, s4, r0, r1, r2 = sums
    q2, q3, q4 = _powers(q)
    m1, m2 = s1 - q * s0, s2 - 2 * q * s1 + q2 * s0
    m3 = s3 - 3 * q * s2 + 3 * q2 * s1 - q3 * s0
    m4 = s4 - 4 * q * s3 + 6 * q2 * s2 - 4 * q3 * s1 + q4 * s0
    return np.stack([s0, m1, m2, m3, m4, r0, r1 - q * r0, r2 - 2 * q * r1 + q2 * r0])


def _powers(base: Floats) -> tuple[Floats, Floats, Floats]:
    """Square, cube and fourth power; multiplied out, since `**` is slow for negative numbers."""
    square = base * base
    return square, square * base, square * square


def _running(at: Floats, off: Floats, trust: Floats) -> Floats:
    """Running sums of the moments, so that each window is a difference of two of them."""
    rows = np.stack([trust, *(trust * power for power in (at, *_powers(at)))])
    rows = np.concatenate([rows, rows[:3] * off])
    sums = np.zeros((8, len(at) + 1))
    np.cumsum(rows, axis=1, out=sums[:, 1:])
    return sums
