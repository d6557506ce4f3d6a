"""In which order are the bars of a score played, with its repeats, endings and jumps?

A walk over (bar, time): a repeat sign sends back to the last start sign, or to the bar
after the last repeat; an ending is entered at its times and passed over at others; after
a jump (D.C., D.S.) repeats are not taken again and the last ending is played. Common
practice of notation (Gould, "Behind Bars", on repeats; from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from evaluator.chart.fit import MOST_BARS
from evaluator.notation.score import BarSigns, ScoreError

TWICE = 2
"""How many times a plain repeat sign asks for."""


@dataclass(frozen=True, slots=True)
class Step:
    """A bar as it is played."""

    bar: int
    """Index of the printed bar."""
    time: int
    """For which time since the repeat began, from 1."""
    spare: bool = False
    """One plays it only if one repeats: the second time without endings, the first with them.
    Of repeats that say how many times, all are to be played."""


def unroll(marks: Sequence[BarSigns]) -> tuple[Step, ...]:
    """Bars in the order of playing.

    Raises:
        ScoreError: if they are more than `MOST_BARS`.
    """
    return _Walk(marks).walk()


@dataclass(frozen=True, slots=True)
class _Endings:
    """Ending brackets that stand beside each other."""

    end: int
    """The first bar behind them."""
    total: int
    """How many times the bars before them are played."""


class _Walk:
    def __init__(self, marks: Sequence[BarSigns]) -> None:
        self._marks = marks
        self._endings = _all_endings(marks)
        self._steps: list[Step] = []
        self._start = 0
        """Where a repeat sign sends back to."""
        self._time = 1
        self._begun = 0
        """Place in the steps where this time began."""
        self._again = False
        """This time is played only if one repeats."""
        self._until: str | None = None
        """After a jump: where to stop or leave; an empty text for nowhere."""

    def walk(self) -> tuple[Step, ...]:
        place = self._enter(0)
        while place < len(self._marks):
            self._steps.append(Step(place, self._time, self._again))
            if len(self._steps) > MOST_BARS:
                raise ScoreError(f"With its repeats this score has more than {MOST_BARS:,} bars.")
            place = self._enter(self._leave(place))
        return tuple(self._steps)

    def _enter(self, place: int) -> int:
        """The bar that is played next: this one, or the one behind endings for other times."""
        endings = self._endings.get(place)
        if endings:
            time = endings.total if self._until is not None else self._time
            while place < endings.end and time not in self._marks[place].endings:
                place += 1
            if place < endings.end:
                return place
        if place >= len(self._marks):
            return place
        behind = place - 1 in self._endings and place not in self._endings
        if (behind or self._marks[place].repeat_start) and place != self._start:
            self._begin(place)
        return place

    def _begin(self, place: int) -> None:
        self._start, self._time = place, 1
        self._begun, self._again = len(self._steps), False

    def _leave(self, place: int) -> int:
        """The bar after this one."""
        marks = self._marks[place]
        if self._until == "fine" and marks.fine:
            return len(self._marks)
        if self._until == "coda" and marks.to_coda:
            self._until = ""
            return self._jump(self._first("coda", place + 1))
        if self._until is not None:
            return place + 1
        if marks.repeat_end:
            endings = self._endings.get(place)
            if self._time < (endings.total if endings else marks.repeat_end):
                self._repeat(counted=marks.repeat_end > TWICE, ends=endings is not None)
                return self._start
            if not endings:
                self._begin(place + 1)
        if marks.jump:
            self._until = marks.until
            return self._jump(0 if marks.jump == "capo" else self._last_segno(place))
        return place + 1

    def _repeat(self, *, counted: bool, ends: bool) -> None:
        """Back to the start; `ends`: this time had an ending that the last one has not."""
        self._time += 1
        self._again = not counted and not ends
        if ends and not counted:
            spare = self._steps[self._begun :]
            self._steps[self._begun :] = [replace(step, spare=True) for step in spare]
        self._begun = len(self._steps)

    def _jump(self, place: int) -> int:
        self._begin(place)
        return place

    def _first(self, mark: str, place: int) -> int:
        """The next bar with that mark; the bar itself where there is none."""
        found = (i for i in range(place, len(self._marks)) if getattr(self._marks[i], mark))
        return next(found, place)

    def _last_segno(self, place: int) -> int:
        return next((i for i in range(place, -1, -1) if self._marks[i].segno), 0)


def _all_endings(marks: Sequence[BarSigns]) -> dict[int, _Endings]:
    """The group of brackets to which each bar under a bracket belongs.

    A new group begins where times come again. A first ending alone, closed by a repeat
    sign, leaves the last time to the bars behind it.
    """
    groups: dict[int, _Endings] = {}
    place = 0
    while place < len(marks):
        end = place
        seen: frozenset[int] = frozenset()
        brackets = 0
        while end < len(marks) and marks[end].endings:
            if end == place or marks[end].ending_start:
                if seen & marks[end].endings:
                    break
                brackets += 1
            seen |= marks[end].endings
            end += 1
        if end > place:
            alone = brackets == 1 and marks[end - 1].repeat_end
            group = _Endings(end, max(seen) + (1 if alone else 0))
            groups.update(dict.fromkeys(range(place, end), group))
        place = max(end, place + 1)
    return groups
