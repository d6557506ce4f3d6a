"""When should a mastered passage be practised again?

After two days, and each time that it is mastered again on a later day, after twice as long:
what is recalled just before it fades lasts longest. That practice spread over days keeps better
than as much of it at once: Cepeda et al. (2006), Psychological Bulletin 132(3), for memory at
large; Simmons (2012), Journal of Research in Music Education 59(4), for pianists; both from
memory. The length of the steps is common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from evaluator.history.practised import Practised

if TYPE_CHECKING:  # the history is shown without what grades
    from evaluator.chart.graph import Hand

FIRST: Final = 2
"""Days after which it is asked for the first time,"""
MOST: Final = 60
"""and the most that are ever waited."""


@dataclass(frozen=True, slots=True)
class Course:
    """What became of one passage that was practised, by one student."""

    first: int
    last: int
    hand: "Hand | None"
    goal: int
    """The chart's tempo there."""
    reached: int | None
    """The fastest tempo at which it went well; None if it never did."""
    times: int
    days: int
    latest: datetime
    """When it was practised last."""
    mastered: bool
    """At the chart's tempo, and not lost since."""
    due: date | None
    """When it is asked for again, if it is mastered."""


def courses(rounds: Iterable[Practised]) -> tuple[Course, ...]:
    """Every passage by its place; `rounds` are of one student and chart, as they began."""
    found: dict[tuple[int, int, Hand | None], list[Practised]] = {}
    for one in rounds:
        found.setdefault(one.place, []).append(one)
    return tuple(_course(group) for _, group in sorted(found.items(), key=_in_order))


def _course(rounds: list[Practised]) -> Course:
    last = rounds[-1]
    goal = last.goal
    well = [one.bpm for one in rounds if one.well]
    at_goal = [one for one in rounds if one.mastered]
    days = list(dict.fromkeys(_day(one) for one in at_goal))
    # Who did not get to the end of the ladder on a later day has lost it.
    mastered = bool(days) and days[-1] == _day(last)
    return Course(
        first=last.first,
        last=last.last,
        hand=last.hand,
        goal=goal,
        reached=max(well, default=None),
        times=sum(one.times for one in rounds),
        days=len({_day(one) for one in rounds}),
        latest=datetime.fromtimestamp(last.ended_at),
        mastered=mastered,
        due=days[-1] + timedelta(wait(len(days))) if mastered else None,
    )


def _in_order(one: "tuple[tuple[int, int, Hand | None], list[Practised]]") -> tuple[int, int, str]:
    first, last, hand = one[0]
    return first, last, hand or ""


def wait(mastered: int) -> int:
    """Days until a passage is asked for again that was mastered on so many days."""
    return int(min(FIRST * 2 ** min(mastered - 1, MOST), MOST))


def _day(one: Practised) -> date:
    return datetime.fromtimestamp(one.began_at).date()
