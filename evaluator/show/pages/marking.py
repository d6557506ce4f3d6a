"""How did the mark come about, to the point?

Each part's mark times its share; parts that cannot be judged leave their share to the
others. The sum is the mark, which a reader can check with a pencil.
"""

from dataclasses import dataclass
from typing import Final

from evaluator.judge.rubric import PARTS, Part, Rubric
from evaluator.judge.verdict import Marks

ABOUT: Final[dict[Part, str]] = {
    "chord": "the right chords",
    "bass": "the right bass notes",
    "rhythm": "the pattern, in time",
    "form": "every bar, no fewer and no more",
}


@dataclass(frozen=True, slots=True)
class MarkLine:
    """One row of the sum."""

    name: str
    about: str
    mark: float | None
    """0 to 100; None where the chart or the take gives nothing to judge."""
    share: float
    """Of the overall mark, once unjudged parts have left theirs to the others."""

    @property
    def points(self) -> float:
        return 0.0 if self.mark is None else self.mark * self.share


def mark_lines(marks: Marks, rubric: Rubric) -> tuple[MarkLine, ...]:
    """The sum, row by row."""
    given: dict[Part, float | None] = {part: getattr(marks, part) for part in PARTS}
    shares = rubric.shares
    total = sum(shares[part] for part in PARTS if given[part] is not None) or 1.0
    return tuple(
        MarkLine(part, ABOUT[part], mark, 0.0 if mark is None else shares[part] / total)
        for part, mark in given.items()
    )
