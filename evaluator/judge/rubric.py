"""By which yardstick is a take marked?

A rubric says how much each part of the playing weighs, how far off a strike may be, which
findings are held against a take, and from which mark on it passes. It decides nothing
about what was played: with any rubric the same things are found, and a finding that does
not count is still said.

Common practice, no source: teachers let go of much at first and ask for more by and by;
the pass mark of graded schemes lies near two thirds.

The scale was measured on 59 takes of five pieces that four piano teachers rated (a part of
the Expert-Novice data, Jiang, ISMIR 2023). One wrong bar in ten is heard by them as far more
than a tenth of the song spoiled: what is lost in the parts tells four times over in the whole
(`strictness`), so that a take that they give 4.5 to 5 of 5 has 90 or more, one that they give
3 lies about the pass mark of `steady`, and one that they give less than 2 below 55
(`tests.bench.rated`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, get_args

from evaluator.parts import AS_RECKONED, PARTS, Part

Countable = Literal[
    "incomplete_chord",
    "root_for_bass",
    "brushed_key",
    "missed_strike",
    "added_strike",
    "early_strike",
    "late_strike",
    "other_rhythm",
    "missing_bar",
    "extra_bar",
    "restart",
    "halt",
]
"""Findings that a rubric may let pass. A wrong chord or bass note counts in every one; who
wants to hear nothing of them gives the part no weight."""
COUNTABLE: Final[tuple[Countable, ...]] = get_args(Countable)

FINDINGS: Final[dict[Countable, str]] = {
    "incomplete_chord": "a chord with a tone missing",
    "root_for_bass": "the root in place of another bass note",
    "brushed_key": "a neighbouring key brushed",
    "missed_strike": "a strike left out",
    "added_strike": "a strike added",
    "early_strike": "a strike early",
    "late_strike": "a strike late",
    "other_rhythm": "another rhythm than the pattern's",
    "missing_bar": "bars missing",
    "extra_bar": "bars too many",
    "restart": "a restart",
    "halt": "a halt",
}
"""What each is called in a report."""

USUAL_STRIKE_MS: Final = 75.0
"""Where a strike is called early or late; see `evaluator.judge.rhythm` for its source."""


@dataclass(frozen=True, slots=True)
class Rubric:
    """A yardstick; the default values are those of the built-in rubric `steady`."""

    name: str = "steady"
    about: str = "The song goes through in time; everything counts."
    pass_mark: float = 75.0
    strictness: float = 4.0
    """So many times over what is lost in the parts tells in the whole."""
    least_played: float = 80.0
    """Percent of the song that must be played for a take to pass as the song."""
    weights: Mapping[Part, float] = field(
        default_factory=lambda: {part: row.weight for part, row in PARTS.items()}
    )
    """What each part weighs against the others."""
    strike_ms: float = USUAL_STRIKE_MS
    """A strike may be so far off before it is called early or late; in slow music more, and
    the grade of what lies within it is as much wider or narrower."""
    halt_beats: float = 1.0
    """A standstill longer than this is a halt; a shorter one is a hesitation."""
    other_rhythm_pct: float = 20.0
    """What a hand that plays another rhythm than the pattern's loses of its rhythm."""
    counts: frozenset[Countable] = frozenset(COUNTABLE)

    @property
    def shares(self) -> dict[Part, float]:
        """What each part weighs in the mark; the weights add up to 1. Of the parts that a rubric
        need not name only those are in it that weigh anything."""
        weights = {
            part: weight
            for part in AS_RECKONED
            if (weight := self.weights[part]) or not PARTS[part].by_choice
        }
        total = sum(weights.values())
        return {part: weight / total for part, weight in weights.items()}

    def has(self, finding: Countable) -> bool:
        """Whether something is held against a take; what is not is said, and costs nothing."""
        return finding in self.counts

    @property
    def price_of_other_rhythm(self) -> float:
        """The share of its rhythm, 0 to 1, that a hand loses for another rhythm than the
        pattern's."""
        return self.other_rhythm_pct / 100.0 if self.has("other_rhythm") else 0.0

    @property
    def let_pass(self) -> tuple[str, ...]:
        """What does not count, in words."""
        return tuple(FINDINGS[one] for one in COUNTABLE if one not in self.counts)

    @property
    def width(self) -> float:
        """How wide the tolerance of time is against that of `steady`: 1 is as wide."""
        return self.strike_ms / USUAL_STRIKE_MS


STEADY: Final = Rubric()
