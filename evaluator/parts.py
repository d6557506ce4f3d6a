"""Of which parts does a mark consist?

One row a part. Everything that tells or stores the parts one by one loops over this table: the
rubric and its file, the reckoning, JSON, spreadsheets, pages and the history. What a part is
worth is found in `evaluator.judge.marks`.
"""

from dataclasses import dataclass
from typing import Final, Literal, get_args

Part = Literal["chord", "rhythm", "form", "bass", "touch"]
"""By these names parts stand in rubrics, reports and tables."""


@dataclass(frozen=True, slots=True)
class PartOfMark:
    """What has to be known of a part."""

    asks: str
    """What it asks of a player."""
    weight: float
    """What it weighs in the rubric `steady`, against the others."""
    by_bars: bool
    """Whether it is judged bar by bar. Where no such part could be, nothing was played."""
    by_choice: bool = False
    """Whether a rubric need not name it, and then gives it no weight."""


PARTS: Final[dict[Part, PartOfMark]] = {
    # What the song is made of, and what the lesson is about.
    "chord": PartOfMark("the right chords", 32.0, by_bars=True),
    # One finger, but it decides how the chord sounds.
    "bass": PartOfMark("the right bass notes", 16.0, by_bars=True),
    # The pattern is learnt once and then goes by itself.
    "rhythm": PartOfMark("the pattern, in time", 10.0, by_bars=True),
    # A lost bar throws out everyone who plays along.
    "form": PartOfMark("every bar, none missing and none too many", 22.0, by_bars=False),
    # Whether it went on in time.
    "touch": PartOfMark("how it was played", 20.0, by_bars=False, by_choice=True),
}
"""In the order of their columns."""
AS_RECKONED: Final[tuple[Part, ...]] = get_args(Part)
"""In the order in which they stand in the reckoning of a mark."""
WHOLE: Final = "overall"
"""The name under which the whole mark stands before them."""
NAMES: Final[tuple[str, ...]] = (WHOLE, *PARTS)
"""Of all columns of marks."""
