"""Which strikes are pieces of one, because the fingers did not land together?

What was struck together is first cut by time alone (`evaluator.take.strike`). A rough hand
spreads a chord over more than that, and its thumb or its bass comes as a strike of its own.
Where the chart wants one strike, pieces of other keys within a tenth of a second are put
together before the hands are told apart: hands are easier to tell from the whole. A single
key that was let go at once while the rest was held is an ornament, and no piece.

The largest spread of a chord on purpose is the roll; that of an untrained hand, and the
distance of the hands, is about a tenth of a second (Goebl 2001, JASA 110, has 10 to 30 ms
for trained ones; the limit is common practice, no source). Units: seconds.
"""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from evaluator.judge.hands import TOGETHER, Late
from evaluator.judge.layout import Due
from evaluator.take.model import Take
from evaluator.take.strike import Strike

WITHIN = 0.100
"""From the first note to the first of a later piece."""
SHORT = 0.12
"""A key let go sooner, and sooner than the rest, is an ornament."""
ROLL_GAP, ROLL_SPREAD = 0.085, 0.450
"""A chord may be rolled with so many seconds from note to note, and in all."""
NEAR_BEATS = 0.3
"""A strike so near to an expected one may be meant for it."""


def nearest_due(
    strikes: Sequence[Strike], due: Sequence[Due], late: Late = TOGETHER
) -> list[int | None]:
    """For each strike the index of the expected one that it may be meant for: the nearest, if it
    is near enough, by the follower's rough times. `late`: seconds by which each hand is always
    late."""
    order = sorted(range(len(due)), key=lambda at: due[at].rough + late[due[at].strike.hand])
    times = [due[at].rough + late[due[at].strike.hand] for at in order]
    found: list[int | None] = []
    for strike in strikes:
        at = bisect_left(times, strike.time)
        if at and (at == len(times) or strike.time - times[at - 1] < times[at] - strike.time):
            at -= 1
        if at == len(times):
            found.append(None)
            continue
        far = abs(times[at] - strike.time) > NEAR_BEATS * due[order[at]].beat_seconds
        found.append(None if far else order[at])
    return found


def join_pieces(
    take: Take, strikes: Sequence[Strike], near: Sequence[int | None], due: Sequence[Due]
) -> list[tuple[int, ...]]:
    """Indices into `strikes`, in order, of the pieces that each strike is made of.

    `near` is `nearest_due` of the strikes.
    """
    chords = _chord_places(due)
    places = [None if at is None else due[at].place for at in near]
    groups: list[list[int]] = []
    for index, strike in enumerate(strikes):
        place = places[index]
        group = groups[-1] if groups else []
        if (
            group
            and place == places[group[0]]
            and _as_one(place, chords, [strikes[piece] for piece in (*group, index)])
            and strike.time - strikes[group[0]].time <= WITHIN
            and _may_belong(take, strike, [strikes[piece] for piece in group])
        ):
            group.append(index)
        else:
            groups.append([index])
    return [tuple(group) for group in groups]


def join_rolls(take: Take, strikes: Sequence[Strike]) -> list[tuple[int, ...]]:
    """Indices into `strikes`, in order, of the pieces of each chord that was rolled slowly.

    The notes of a roll rise, none more than `ROLL_GAP` after the one before, and the first
    is still held when the last comes; those of a run or a broken chord come more slowly, or
    are let go.
    """
    ends = take.offsets
    groups: list[list[int]] = []
    for index, strike in enumerate(strikes):
        group = groups[-1] if groups else []
        before = strikes[group[-1]] if group else None
        if (
            before is not None
            and len(strike.pitches) == 1
            and strike.pitches[0] > before.pitches[-1]
            and strike.time - before.last <= ROLL_GAP
            and strike.time - strikes[group[0]].time <= ROLL_SPREAD
            and all(float(ends[n]) > strike.time for piece in group for n in strikes[piece].notes)
        ):
            group.append(index)
        else:
            groups.append([index])
    return [tuple(group) for group in groups]


def closing_pieces(
    strikes: Sequence[Strike], last: int, after: Sequence[int], beat_seconds: float
) -> list[int]:
    """Those of the strikes `after` the last bar's `last` one that still belong to it.

    Nothing comes after the last chord that would show that its late pieces are its own; but
    nobody begins to noodle within a third of a beat of it.
    """
    until = strikes[last].time + max(WITHIN, NEAR_BEATS * beat_seconds)
    return [index for index in after if strikes[index].time <= until]


def _chord_places(due: Sequence[Due]) -> frozenset[float]:
    """Places at which more than one key is wanted: a chord, or both hands."""
    places = {one.place for one in due if one.strike.part == "chord"}
    places |= {a.place for a, b in pairwise(due) if a.place == b.place}
    return frozenset(places)


def _as_one(place: float | None, chords: frozenset[float], pieces: Sequence[Strike]) -> bool:
    """Whether several keys are wanted at the place; elsewhere a chord may be added."""
    if place is not None:
        return place in chords
    return bool(chords) and max(len(piece.pitches) for piece in pieces) > 1


def _may_belong(take: Take, strike: Strike, others: Sequence[Strike]) -> bool:
    keys = {pitch for other in others for pitch in other.pitches}
    if keys & set(strike.pitches):
        return False
    held = _held(take, strike)
    rest = max(_held(take, other) for other in others)
    alone = len(strike.pitches) == 1
    first_alone = len(others) == 1 and len(others[0].pitches) == 1
    grace = alone and held < SHORT and rest > 1.5 * held
    return not grace and not (first_alone and rest < SHORT and held > 1.5 * rest)


def _held(take: Take, strike: Strike) -> float:
    return max(float(take.offsets[note]) for note in strike.notes) - strike.time
