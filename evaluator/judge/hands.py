"""Which hand struck which note?

No fixed key divides the hands, and a channel need not. Each strike is cut between two
of its notes (or not at all) where the cut is cheapest: a note far from where its hand
has lately been, a stretch wider than a hand, a small gap at the cut, a hand that plays
where the pattern wants none or rests where it wants one, all cost. Where each hand lies
is the running median of its last notes, begun from two-means over the whole take. Two
tracks or channels that keep the hands apart from end to end are believed.

Units: MIDI keys and velocities; seconds. The prices are in units of one hand's usual
scatter squared, common practice of accompaniment, no source.
"""

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from evaluator.chart.graph import HANDS, Hand
from evaluator.take.model import Take
from evaluator.take.strike import Strike

SCATTER = 5.0
"""Semitones from its middle within which a hand's notes usually lie."""
STRETCH = 16
"""Semitones that one hand can span: a tenth."""
TOO_WIDE = 4.0
"""Price of a stretch beyond that."""
UNWANTED, RESTING = 4.0, 1.5
"""Prices of a hand that plays where it is not wanted, and that rests where it is."""
GAP = 1.0
"""Gain for an octave between the hands, less for a smaller gap."""
APART = 7.0
"""Semitones between the hands' middles, below which there is only one hand."""
SILENT = 0.15
"""A hand is silent that answers a smaller share of what is wanted of it."""
MIDDLE = 55.0
"""A single hand that lies below this key (G3) is the left."""

OCTAVE, WIDE_GAP = 12, 8
"""Semitones: how wide one hand's chord is, and what gap does not occur within it."""
Late = Mapping[Hand, float]
"""By how many seconds each hand is always late, negative for early."""
TOGETHER: Late = {"left": 0.0, "right": 0.0}

Wanted = frozenset[Hand]


@dataclass(frozen=True, slots=True)
class HandStrike:
    """What one hand did in one strike."""

    strike: int
    """Index into the take's strikes."""
    hand: Hand
    time: float
    notes: tuple[int, ...]
    """Indices into the take, lowest pitch first."""
    pitches: tuple[int, ...]
    """Ascending keys, in the chart's pitch (a transposed take is moved back)."""
    velocities: tuple[int, ...]
    ends: tuple[float, ...]
    """When each key was let go."""

    @property
    def seconds(self) -> float:
        """How long the longest note was held."""
        return max(self.ends) - self.time

    @property
    def loudest(self) -> int:
        """Velocity of its loudest note, 1 to 127."""
        return max(self.velocities)


def split_hands(
    take: Take,
    strikes: Sequence[Strike],
    wanted: Sequence[Wanted | None],
    *,
    transposed: int,
    only: Hand | None = None,
    both: bool = False,
) -> list[HandStrike]:
    """Each strike as one or two hand strikes, left before right, in the strikes' order.

    `wanted` says for each strike which hands the pattern expects at its place: empty for
    none, None where the chart has no pattern. Strikes need not be the whole take's. `only`
    is the hand that played everything, if that is known, and `both` says that there are two.
    """
    onsets, ends = take.onsets.tolist(), take.offsets.tolist()
    low_side = _kept_apart(take, strikes) if only is None else None
    cuts = _cuts(strikes, wanted, only, both=both) if low_side is None else None
    found = []
    for index, strike in enumerate(strikes):
        columns = list(zip(strike.notes, strike.pitches, strike.velocities, strict=True))
        if low_side is not None:
            low = [column for column in columns if column[0] in low_side]
            high = [column for column in columns if column[0] not in low_side]
        else:
            assert cuts is not None
            low, high = columns[: cuts[index]], columns[cuts[index] :]
        for hand, keys in zip(HANDS, (low, high), strict=True):
            if keys:
                place = (index, hand, strike.rolled)
                found.append(_hand_strike(place, keys, (onsets, ends, transposed)))
    return found


def _hand_strike(
    place: tuple[int, Hand, bool],
    keys: list[tuple[int, int, int]],
    take: tuple[list[float], list[float], int],
) -> HandStrike:
    """`place`: the strike, the hand, whether rolled; `keys`: note, pitch, velocity of each."""
    index, hand, rolled = place
    onsets, ends, transposed = take
    notes, pitches, velocities = zip(*keys, strict=True)
    struck = [onsets[note] for note in notes]
    # A rolled chord counts at its first note; otherwise the middle of the fingers is the
    # steadiest witness of what the hand meant.
    time = min(struck) if rolled or len(struck) == 1 else median(struck)
    if transposed:
        pitches = tuple(pitch - transposed for pitch in pitches)
    held = tuple([ends[note] for note in notes])
    return HandStrike(index, hand, time, notes, pitches, velocities, held)


def _kept_apart(take: Take, strikes: Sequence[Strike]) -> set[int] | None:
    """Notes of the lower of two tracks (or channels) that are plainly the two hands."""
    for column in (take.tracks, take.channels):
        labels = column.tolist()
        kinds = sorted(set(labels))
        if len(kinds) != 2:
            continue
        pitches = take.pitches.tolist()
        sides = [
            [pitch for pitch, label in zip(pitches, labels, strict=True) if label == kind]
            for kind in kinds
        ]
        if min(map(len, sides)) < 0.1 * len(pitches):
            continue
        means = [sum(side) / len(side) for side in sides]
        if abs(means[0] - means[1]) < APART:
            continue
        lower = kinds[0] if means[0] < means[1] else kinds[1]
        if _never_cross(strikes, labels, lower):
            return {note for note, label in enumerate(labels) if label == lower}
    return None


def _never_cross(strikes: Sequence[Strike], labels: list[int], lower: int) -> bool:
    """Whether nearly every strike has all notes of the lower label below the others."""
    together = crossed = 0
    for strike in strikes:
        sides = [labels[note] == lower for note in strike.notes]
        if len(set(sides)) == 2:
            together += 1
            crossed += sides != sorted(sides, reverse=True)
    return crossed <= 0.05 * together


def _cuts(
    strikes: Sequence[Strike], wanted: Sequence[Wanted | None], only: Hand | None, *, both: bool
) -> list[int]:
    """How many of each strike's lowest notes the left hand has."""
    middles = _two_means([pitch for strike in strikes for pitch in strike.pitches])
    only = only or (None if both else _only_hand(strikes, wanted, middles))
    if only is not None:
        return [len(strike.pitches) if only == "left" else 0 for strike in strikes]
    left: deque[int] = deque([round(middles[0])] * 3, maxlen=9)
    right: deque[int] = deque([round(middles[1])] * 3, maxlen=9)
    cuts = []
    known: dict[tuple[tuple[int, ...], Wanted | None, int, int], int] = {}  # patterns repeat
    for strike, hands in zip(strikes, wanted, strict=True):
        # A hand that has just moved towards the other is there, not at its median; where the
        # pattern has nothing for it, it was perhaps the other one.
        low, high = sorted(left)[len(left) // 2], sorted(right)[len(right) // 2]
        if hands or hands is None:
            low, high = max(low, left[-1]), min(high, right[-1])
        place = (strike.pitches, hands, low, high)
        if place not in known:
            known[place] = _cheapest_cut(*place)
        cut = known[place]
        left.extend(strike.pitches[:cut][:1])
        right.extend(strike.pitches[cut:][len(strike.pitches[cut:]) // 2 :][:1])
        cuts.append(cut)
    return cuts


def _cheapest_cut(pitches: Sequence[int], wanted: Wanted | None, low: int, high: int) -> int:
    best, best_price = 0, float("inf")
    count = len(pitches)
    in_left = 0.0
    in_right = sum(_astray(high - pitch) for pitch in pitches)
    for cut in range(count + 1):
        if cut:
            in_left += _astray(pitches[cut - 1] - low)
            in_right -= _astray(high - pitches[cut - 1])
        price = in_left + in_right
        if cut and pitches[cut - 1] - pitches[0] > STRETCH:
            price += TOO_WIDE
        if cut < count and pitches[-1] - pitches[cut] > STRETCH:
            price += TOO_WIDE
        if 0 < cut < count:
            price -= GAP * min(pitches[cut] - pitches[cut - 1], 12) / 12
        if wanted is not None and wanted:
            for plays, hand in ((cut > 0, "left"), (cut < count, "right")):
                if plays != (hand in wanted):
                    price += UNWANTED if plays else RESTING
        if price < best_price:
            best, best_price = cut, price
    return best


def _astray(semitones: int) -> float:
    """Price of a note so far beyond its hand's middle towards the other hand."""
    return (semitones / SCATTER) ** 2 if semitones > 0 else 0.0


def _two_means(pitches: Sequence[int]) -> tuple[float, float]:
    """Middles of the low and the high notes."""
    if not pitches:
        return MIDDLE, MIDDLE
    counts: dict[int, int] = {}
    for pitch in pitches:
        counts[pitch] = counts.get(pitch, 0) + 1
    low, high = float(min(counts)), float(max(counts))
    for _ in range(10):
        edge = (low + high) / 2
        below = {pitch: count for pitch, count in counts.items() if pitch <= edge}
        above = {pitch: count for pitch, count in counts.items() if pitch > edge}
        if not below or not above:
            break
        middles = (_mean(below), _mean(above))
        if middles == (low, high):
            break
        low, high = middles
    return low, high


def _mean(counts: dict[int, int]) -> float:
    return sum(pitch * count for pitch, count in counts.items()) / sum(counts.values())


def _only_hand(
    strikes: Sequence[Strike], wanted: Sequence[Wanted | None], middles: tuple[float, float]
) -> Hand | None:
    """The one hand that plays in a take where the other is silent; None for both."""
    every = [pitch for strike in strikes for pitch in strike.pitches]
    if not every:
        return None
    by_place: Hand = "left" if sorted(every)[len(every) // 2] < MIDDLE else "right"
    if middles[1] - middles[0] < APART:
        return by_place
    edge = sum(middles) / 2
    wants, answers = {"left": 0, "right": 0}, {"left": 0, "right": 0}
    for strike, hands in zip(strikes, wanted, strict=True):
        for hand in hands or ():
            lies = strike.pitches[0] < edge if hand == "left" else strike.pitches[-1] > edge
            wants[hand] += 1
            answers[hand] += _two_handed(strike.pitches) if len(hands or ()) == 2 else lies
    silent = [hand for hand in wants if answers[hand] < SILENT * wants[hand]]
    if len(silent) == 1:
        return "right" if silent == ["left"] else "left"
    return by_place if silent else None


def _two_handed(pitches: Sequence[int]) -> bool:
    """One hand's chord keeps within an octave; bass and chord are wider, or have a gap."""
    gaps = [upper - lower for lower, upper in pairwise(pitches)]
    return bool(gaps) and (pitches[-1] - pitches[0] > OCTAVE or max(gaps) >= WIDE_GAP)
