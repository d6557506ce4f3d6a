"""Which few things, once learnt, would put most of this take right?

Every skill that failed is weighed by what its failures cost, by the share of its tries
that failed (a movement that goes wrong five times of six is not learnt; one of thirty is
a slip) and by whether it failed more than once. The heaviest is taken, its failures are
explained by it, and the rest is weighed anew. So `into A/C#: the bass goes to A` is found
as one thing wherever it stands in the song.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.practise.attempt import Attempt, Skill, Sort

MOST: Final = 5
MOST_HALTS: Final = 2
"""Who stops in many places is taught to go on, not each place by itself; the rest of the plan
is for what else went wrong. Common practice, no source."""
LEAST: Final = 0.02
"""Weight below which a thing is not worth a loop: a strike or two missed in passing is
not, a wrong bass note is. Common practice, no source."""
DOUBT: Final = 0.5
"""Tries added to those that were heard: once wrong of one try proves less than six of six."""
ONCE: Final = 0.5
"""Part of a thing's weight that one failure gives it; each further one halves the rest."""

# Of skills that explain the failures equally well the plainest to say goes first.
ORDER: Final[tuple[Sort, ...]] = (
    *("count", "into", "move", "place", "section place", "pattern", "section", "bar"),
)


@dataclass(frozen=True, slots=True)
class Weakness:
    """A skill that is not learnt yet."""

    skill: Skill
    tries: int
    failed: tuple[Attempt, ...]
    weight: float

    @property
    def share(self) -> float:
        """The share of the tries that failed, 0 to 1."""
        return len(self.failed) / max(self.tries, 1)


def weaknesses(tried: Sequence[Attempt]) -> tuple[Weakness, ...]:
    """At most five, two of them halts, the heaviest first."""
    left = list(tried)
    found: list[Weakness] = []
    while len(found) < MOST:
        heaviest = _heaviest(left)
        if heaviest is None or heaviest.weight < LEAST:
            break
        found.append(heaviest)
        explained = {id(attempt) for attempt in heaviest.failed}
        left = [attempt for attempt in left if id(attempt) not in explained]
        if sum(one.skill.kind == "halt" for one in found) == MOST_HALTS:
            left = [attempt for attempt in left if attempt.skills[0].kind != "halt"]
    return tuple(found)


def _heaviest(tried: Sequence[Attempt]) -> Weakness | None:
    failed: dict[Skill, list[Attempt]] = {}
    for attempt in tried:
        if attempt.cost > 0:
            for skill in attempt.skills:
                failed.setdefault(skill, []).append(attempt)
    if not failed:
        return None
    tries = dict.fromkeys(failed, 0)
    for attempt in tried:
        for skill in attempt.skills:
            if skill in tries:
                tries[skill] += 1
    weighed = [
        Weakness(skill, tries[skill], tuple(failures), _weight(failures, tries[skill]))
        for skill, failures in failed.items()
    ]
    return min(
        weighed,
        key=lambda one: (-round(one.weight, 9), ORDER.index(one.skill.sort), one.skill.words),
    )


def _weight(failed: Sequence[Attempt], tries: int) -> float:
    cost = sum(attempt.cost for attempt in failed)
    times = sum(attempt.count for attempt in failed)
    return cost * len(failed) / (tries + DOUBT) * (1.0 - ONCE**times)
