"""Which played strike answers which expected one?

One to one and in order, so that the sum of the pairs' closeness is as large as it can
be: the heaviest chain among the pairs that lie within reach of each other, so that the
work grows with the number of strikes. The count of pairs is that of a maximum matching
of two onset lists within a window (as in mir_eval, Raffel et al. 2014), except that
pairs here never cross.

Units: seconds.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

Pairs = list[int | None]


def match(due: Sequence[float], played: Sequence[float], reach: Sequence[float]) -> Pairs:
    """For each due time the index of the played time that answers it, or None.

    `due` and `played` ascend; `reach[i]` is how far from `due[i]` an answer may lie.
    A pair is worth `1 - (distance / reach)^2 / 2`: never less than a half, so that two
    answers a little off are worth more than one that is exact.
    """
    # worth[j]: the best chain among the dues so far and the first j played; steps[ends[j]]
    # is its last pair, with the place of the pair before it.
    worth, ends = [0.0], [-1]
    steps: list[tuple[int, int, int]] = []
    for index, (time, far) in enumerate(zip(due, reach, strict=True)):
        first, last = bisect_left(played, time - far), bisect_right(played, time + far)
        while len(worth) <= last:
            worth.append(worth[-1])
            ends.append(ends[-1])
        for place in range(last - 1, first - 1, -1):
            gained = worth[place] + 1.0 - 0.5 * ((played[place] - time) / far) ** 2
            if gained > worth[place + 1]:
                steps.append((index, place, ends[place]))
                worth[place + 1], ends[place + 1] = gained, len(steps) - 1
        for place in range(first + 1, len(worth)):
            if worth[place] < worth[place - 1]:
                worth[place], ends[place] = worth[place - 1], ends[place - 1]
    pairs: Pairs = [None] * len(due)
    step = ends[-1]
    while step >= 0:
        index, place, step = steps[step]
        pairs[index] = place
    return pairs
