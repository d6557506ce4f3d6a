"""Which places of a song are to be practised today, and why?

First what the last takes say: the passages that the report advised, those before all others
that failed in several takes. Then what was begun at the piano and did not come to the chart's
tempo. Then what was mastered and has had some days to be forgotten. What was mastered after the
last take is left in peace until then.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Final

from evaluator.history.due import Course, courses
from evaluator.history.entry import Entry, KeptLoop
from evaluator.history.practised import Practised
from evaluator.history.progress import newest
from evaluator.report.places import amount

if TYPE_CHECKING:  # the history is shown without what grades
    from evaluator.chart.graph import Hand

LOOKED_AT: Final = 5
"""Takes, the last ones: what failed earlier may have been learnt long since."""
MOST: Final = 3
"""Places in one lesson; common practice among teachers, no source."""
NO_MISTAKE: Final = frozenset({"", "otherwise"})

WHY: Final = {
    "one": "in the last take, {why}",
    "all": "in each of the last {takes}, {why}",
    "some": "in {failed} of the last {takes}, {why}",
    "begun": "begun and not yet at the chart's tempo",
    "again": "mastered on {day}, and time to see whether it is still there",
}
"""Why a place is asked for, as a phrase."""
REACHED: Final = "{why}; {bpm} of {goal} reached so far"
WRONG: Final = "something is wrong in it"
"""What fails where what was kept does not say more."""


@dataclass(frozen=True, slots=True)
class Place:
    """A passage to be practised."""

    first: int
    """Number of its first bar,"""
    last: int
    """and of its last one."""
    why: str
    hand: "Hand | None" = None
    """The one that is practised; None for both."""
    bpm: int | None = None
    """At which the plan lets it begin, if it says so."""
    reached: int | None = None
    """The fastest tempo at which it went well so far."""


def places(takes: Sequence[Entry], rounds: Sequence[Practised], today: date) -> tuple[Place, ...]:
    """At most three places of one student's, the most needed first.

    `takes` and `rounds` are of one chart, in the order of playing.
    """
    known = courses(rounds)
    found = [*_failing(newest(takes)[-LOOKED_AT:], known), *_begun(takes, known)]
    found += [_again(one) for one in known if one.due is not None and one.due <= today]
    chosen: list[Place] = []
    for place in found:
        if not any(_overlap(place, other) and place.hand == other.hand for other in chosen):
            chosen.append(place)
    return tuple(chosen[:MOST])


def _failing(takes: Sequence[Entry], known: Sequence[Course]) -> list[Place]:
    """What failed in the last takes, what failed in most of them first."""
    if not takes:
        return []
    counted: list[tuple[int, KeptLoop]] = []
    for loop in _advised(takes):
        heard = [take for take in takes if _bars(take, loop)]
        failed = sum(_fails(take, loop) for take in heard)
        # What was wrong once and is right by now is learnt.
        if not heard or (failed and not _fails(heard[-1], loop)):
            continue
        counted.append((failed, loop))
    counted.sort(key=lambda one: -one[0])
    return [
        _place(loop, failed, len(takes), known)
        for failed, loop in counted
        if not _at_rest(loop, known, takes[-1])
    ]


def _advised(takes: Sequence[Entry]) -> list[KeptLoop]:
    """The passages that the takes' reports advised, the newest first; of what was kept without
    advice the bars that were wrong, each with the bar before it."""
    found: list[KeptLoop] = []
    for take in reversed(takes):
        own = take.loops or tuple(
            KeptLoop(max(number - 1, 1), number, 0, WRONG)
            for number, kinds in sorted(take.bars.items())
            if not set(kinds.split(" ")) <= NO_MISTAKE
        )
        for loop in own:
            if not any(_overlap(loop, other) for other in found):
                found.append(loop)
    return found


def _overlap(one: KeptLoop | Place | Course, other: KeptLoop | Place | Course) -> bool:
    return one.first <= other.last and other.first <= one.last


def _bars(take: Entry, loop: KeptLoop) -> list[str]:
    """What was wrong with each bar of a passage that was played in a take."""
    return [kinds for number, kinds in take.bars.items() if loop.first <= number <= loop.last]


def _fails(take: Entry, loop: KeptLoop) -> bool:
    wrong = any(not set(kinds.split(" ")) <= NO_MISTAKE for kinds in _bars(take, loop))
    return wrong or any(_overlap(loop, other) for other in take.loops)


def _at_rest(loop: KeptLoop, known: Sequence[Course], last: Entry) -> bool:
    """Whether the passage was mastered after it was last heard to fail."""
    return any(
        one.mastered
        and not one.hand
        and _overlap(one, loop)
        and one.latest.timestamp() > last.played_at
        for one in known
    )


def _place(loop: KeptLoop, failed: int, takes: int, known: Sequence[Course]) -> Place:
    case = "one" if takes == 1 or failed <= 1 else "all" if failed == takes else "some"
    of = amount(failed, "take").partition(" ")[0]
    why = WHY[case].format(failed=of, takes=amount(takes, "take"), why=loop.why)
    same = (loop.first, loop.last, None)
    before = next((one for one in known if (one.first, one.last, one.hand) == same), None)
    reached = None if before is None else before.reached
    if before is not None and reached is not None:
        why = REACHED.format(why=why, bpm=reached, goal=before.goal)
    return Place(loop.first, loop.last, why, bpm=loop.bpm or None, reached=reached)


def _begun(takes: Sequence[Entry], known: Sequence[Course]) -> list[Place]:
    """What was practised last without coming to its end, unless a take went well since."""
    found = []
    for one in sorted(known, key=lambda one: one.latest, reverse=True):
        loop = KeptLoop(one.first, one.last, 0, "")
        since = [take for take in takes if take.played_at > one.latest.timestamp()]
        heard = [take for take in since if _bars(take, loop)]
        if one.mastered or (heard and not _fails(heard[-1], loop)):
            continue
        why = WHY["begun"]
        if one.reached is not None:
            why = REACHED.format(why=why, bpm=one.reached, goal=one.goal)
        found.append(Place(one.first, one.last, why, one.hand, reached=one.reached))
    return found


def _again(one: Course) -> Place:
    why = WHY["again"].format(day=f"{one.latest:%Y-%m-%d}")
    return Place(one.first, one.last, why, one.hand, reached=one.reached)
