"""How fast is a passage to be played next, when it is played again and again?

From slow to the chart's tempo, a step at a time: up after three good times in a row, down
after two bad ones in a row. The steps are every second mark of the metronome's scale, about a
tenth of the tempo; a single mark is hardly felt. Common practice
among teachers, no source; the scale is the one printed on mechanical metronomes, from memory.

Tempi are beats a minute of the meter of the passage's first bar.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

MARKS: Final = (
    *range(20, 60, 2),
    *(60, 63, 66, 69, 72, 76, 80, 84, 88, 92, 96, 100, 104, 108, 112, 116),
    *(120, 126, 132, 138, 144, 152, 160, 168, 176, 184, 192, 200, 208),
    *range(220, 401, 12),
)
"""The metronome's scale; below 40 and above 208, where it has none, it is carried on evenly."""
STRIDE: Final = 2
"""Marks of a step."""
GOOD_IN_A_ROW: Final = 3
BAD_IN_A_ROW: Final = 2
UNKNOWN: Final = 0.7
"""Part of the chart's tempo at which a passage is begun of which nothing is known."""
LEAST: Final = 0.5
"""Part of the chart's tempo below which nothing is gained by going slower."""


@dataclass(frozen=True, slots=True)
class Ladder:
    """Where one passage stands: the tempi, the present one, and the last times in a row."""

    tempi: tuple[int, ...]
    """From the slowest to the chart's."""
    at: int
    """Which of them is played now."""
    good: int = 0
    bad: int = 0
    reached: int | None = None
    """The fastest tempo that went well three times in a row."""

    @property
    def bpm(self) -> int:
        """The tempo to be played now."""
        return self.tempi[self.at]

    @property
    def goal(self) -> int:
        """The chart's tempo."""
        return self.tempi[-1]

    @property
    def mastered(self) -> bool:
        """Whether it went well at the chart's tempo."""
        return self.reached == self.goal

    @property
    def lowest(self) -> bool:
        """Whether it cannot go slower."""
        return self.at == 0

    def after(self, *, good: bool) -> "Ladder":
        """The same after one more time through."""
        row = (
            replace(self, good=self.good + 1, bad=0)
            if good
            else replace(self, good=0, bad=self.bad + 1)
        )
        if row.good == GOOD_IN_A_ROW:
            reached = max(row.reached or 0, row.bpm)
            return replace(row, at=min(row.at + 1, len(row.tempi) - 1), good=0, reached=reached)
        if row.bad == BAD_IN_A_ROW:
            return replace(row, at=max(row.at - 1, 0), bad=0)
        return row


def ladder(goal: float, *, start: float | None = None, reached: float | None = None) -> Ladder:
    """The tempi for a passage that the chart has at `goal`.

    `start` is what the plan advises. Where the passage was practised before up to `reached`, it
    begins a step below that, if that is faster.
    """
    top = round(goal)
    least = LEAST * goal
    tempi = [*(mark for mark in reversed(_below(top)) if mark >= least), top]
    wanted = UNKNOWN * goal if start is None else start
    at = _at_most(tempi, wanted)
    if reached is not None:
        at = max(at, _at_most(tempi, reached) - 1)
    return Ladder(tuple(tempi), at)


def _below(top: int) -> list[int]:
    """Every second mark below a tempo, downward; the first is a step away, or nearly."""
    under = [mark for mark in MARKS if mark < top][::-1]
    near = [mark for mark in under if top - mark < (STRIDE - 0.5) * _gap(mark)]
    return under[len(near) :: STRIDE]


def _gap(mark: int) -> int:
    """To the next mark."""
    return next((above - below for below, above in pairwise(MARKS) if below == mark), mark // 20)


def _at_most(tempi: list[int], bpm: float) -> int:
    """Which of the tempi is the fastest that is not above one; the slowest if all are."""
    return max((at for at, tempo in enumerate(tempi) if tempo <= bpm), default=0)
