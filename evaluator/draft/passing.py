"""Which patterns may stay, as far as their own player keeps to them and passes by them?

The judges hear a draft's patterns in the take that it was made of. A section that does not keep
to its pattern is free; and by the patterns that are left the take must get what it would get
without them, or nearly.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence

from evaluator.draft.own_take import OwnTake
from evaluator.draft.rhythm import Rhythm, freed, without_least
from evaluator.draft.visits import Visit

_KEPT_TO = 0.88
"""What its own player must get for a pattern. Chosen on twenty annotated songs: with less most
patterns go again, with more those go that are kept to."""
PASSES, _MOST_LOST = 97.0, 3.0
"""The mark that a take must get by its own draft; and where it would not get that without any
pattern either, what all of them may take from the mark."""
_LEFT_OUT = (0.25, 0.5, 0.75)
"""Shares of the patterns that go, the first that is enough, before all of them do."""


def kept_to(rhythm: Rhythm, own: OwnTake, visits: Sequence[Visit], alike: Sequence[int]) -> Rhythm:
    """The rhythm without the patterns that the player does not keep to in a section; `alike` is
    of each visit the first section that is the same."""
    bars: dict[object, list[int]] = defaultdict(list)
    keys = [(first, rhythm.of_section.get(n)) for n, first in enumerate(alike)]
    for key, visit in zip(keys, visits, strict=True):
        bars[key] += visit.bars
    scores = {key: own.rhythm(numbers) for key, numbers in bars.items()}
    return freed(
        rhythm,
        {
            n
            for n, key in enumerate(keys)
            if max(scores[key] or 1.0, rhythm.kept.get(n, 1.0)) < _KEPT_TO
        },
    )


def passing(
    found: tuple[Rhythm, OwnTake], visits: Sequence[Visit], grade: Callable[[Rhythm], OwnTake]
) -> tuple[Rhythm, OwnTake]:
    """The rhythm, with the take graded by it, without the patterns by which the take does not
    pass: those that are kept to least go first, and no more of them than it needs.

    What does not pass without any fails for something else, and patterns may stay that cost
    little. `grade` is the take by the draft with another rhythm.
    """
    rhythm, own = found
    if own.mark >= PASSES or not rhythm.patterns:
        return found
    kept = {n: own.rhythm(visit.bars) or 0.0 for n, visit in enumerate(visits)}
    free, plain = _without(rhythm, kept, 1.0, grade)
    enough = PASSES if plain.mark >= PASSES else plain.mark - _MOST_LOST
    if own.mark >= enough:
        return found
    ways = (_without(rhythm, kept, share, grade) for share in _LEFT_OUT)
    return next((way for way in ways if way[1].mark >= enough), (free, plain))


def _without(
    rhythm: Rhythm, kept: Mapping[int, float], share: float, grade: Callable[[Rhythm], OwnTake]
) -> tuple[Rhythm, OwnTake]:
    fewer = without_least(rhythm, kept, share)
    return fewer, grade(fewer)
