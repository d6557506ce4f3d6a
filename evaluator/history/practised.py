"""What is kept of practising a passage?

One row a round: the times through a passage at one tempo. It grows with every time through, so
that nothing but the time under way is lost with a program that is killed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Final

from evaluator.history.entry import can_be_dated
from evaluator.practise.ladder import GOOD_IN_A_ROW

if TYPE_CHECKING:  # the history is shown without what grades
    from evaluator.chart.graph import Hand

COLUMNS: Final = (
    *("chart", "student", "first", "last", "hand", "began_at", "ended_at"),
    *("bpm", "goal", "times", "good", "in_a_row"),
)
"""Of the table `practised`."""
FIELDS: Final = ("chart", "title", "chart_file", "chart_bars", *COLUMNS[1:])
"""What `practised_from` wants to know, in this order."""
HANDS: "Final[dict[str, Hand | None]]" = {"": None, "left": "left", "right": "right"}
"""As they stand in the file; a key that may be null would not be unique."""


@dataclass(frozen=True, slots=True)
class Practised:
    """One round of practising. Times are seconds since 1970."""

    chart: str
    """Hash of the chart's text."""
    title: str
    chart_file: str
    chart_bars: int
    student: str
    """Empty where nobody is named."""
    first: int
    """Number of the passage's first bar,"""
    last: int
    """and of its last one."""
    hand: "Hand | None"
    """The one that was practised; None for both."""
    began_at: float
    ended_at: float
    """When the last time through of it was over."""
    bpm: int
    """Beats a minute of the first bar's meter, as asked for."""
    goal: int
    """The chart's tempo there."""
    times: int
    """Times through,"""
    good: int
    """and those in which nothing was wrong."""
    in_a_row: int
    """The most good times one after another."""

    @property
    def place(self) -> "tuple[int, int, Hand | None]":
        """Which passage, and which hand."""
        return self.first, self.last, self.hand

    @property
    def well(self) -> bool:
        """Whether the passage went well at this tempo."""
        return self.in_a_row >= GOOD_IN_A_ROW

    @property
    def mastered(self) -> bool:
        """Whether it did at the chart's."""
        return self.well and self.bpm >= self.goal


def row_of(one: Practised, chart: int) -> tuple[object, ...]:
    """A round as a row; `chart` is the number of its chart in the file."""
    kept = (getattr(one, name) for name in COLUMNS[5:])
    return chart, one.student, one.first, one.last, one.hand or "", *kept


def practised_from(row: Sequence[object]) -> Practised | None:
    """The round of a row; None if it is none."""
    kept = dict(zip(FIELDS, row, strict=True))
    numbers = ("chart_bars", "first", "last", "bpm", "goal", "times", "good", "in_a_row")
    texts = ("chart", "title", "chart_file", "student", "hand")
    if not (
        all(isinstance(kept[name], str) for name in texts)
        and all(isinstance(kept[name], int) for name in numbers)
        and all(_is_moment(kept[name]) for name in ("began_at", "ended_at"))
        and kept["hand"] in HANDS
    ):
        return None
    kept["hand"] = HANDS[str(kept["hand"])]
    return Practised(**kept)  # type: ignore[arg-type]


def _is_moment(value: object) -> bool:
    return isinstance(value, int | float) and isfinite(value) and can_be_dated(value)
