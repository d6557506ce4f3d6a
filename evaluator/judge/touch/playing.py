"""At which moments did the places of the chart sound, and how far apart were they?

Touch is heard in what was answered: the strikes of each hand that the chart has and that
were played, place by place. From one place to the next the time taken is held against the
pace thereabouts, the weighted median of such steps over eight beats, which a halt, an
early strike or a dotted pair among even ones does not move. A ritard comes and goes over
several steps, and a hesitation is alone: so nothing is lost in a step that is no slower than
the one before it or behind it, as far as music slows down.

Units: seconds of the take; written seconds for places and their distances.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from evaluator.chart.graph import HANDS, BarGraph, Hand
from evaluator.judge.hands import TOGETHER, HandStrike, Late
from evaluator.judge.heard import HeardBar
from evaluator.judge.layout import Due
from evaluator.judge.timing import Timing
from evaluator.take.model import Take

HALF_WINDOW = 4.0
"""Beats to either side over which the pace is taken; below eight beats a player's time is
feeling, above it is tempo (Sogorski, Geisel, Priesemann 2018, arXiv 1710.05608)."""
SHORTEST = 0.12
"""Beats; places nearer to each other than this are ornaments and tell no pace."""

SLOWED = 1.5
"""So many times as long may a step be where its neighbour shows that the music slows down; what
is slower stands still. Common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Playing:
    """Everything about a take that its touch is judged by."""

    graph: BarGraph
    take: Take
    heard: Sequence[HeardBar]
    due: Sequence[Due]
    answers: Mapping[Hand, Sequence[tuple[Due, HandStrike]]]
    """What the chart wanted of each hand and got, in bars that could be followed."""
    followed: Sequence[bool]
    """For each played bar whether it could be followed."""
    transposed: int = 0
    late: Late = field(default_factory=lambda: TOGETHER)
    """By how much each hand is always late."""

    @property
    def written_out(self) -> bool:
        """Whether the chart has most strikes in notes."""
        return 2 * sum(bool(one.strike.pitches) for one in self.due) > len(self.due)


def answered(
    due: Sequence[Due], played: Sequence[HandStrike], timing: Timing, followed: Sequence[bool]
) -> dict[Hand, list[tuple[Due, HandStrike]]]:
    """For each hand, what the chart wanted and what was played for it, in bars that could be
    followed."""
    found: dict[Hand, list[tuple[Due, HandStrike]]] = {hand: [] for hand in HANDS}
    for one, answer in zip(due, timing.answers, strict=True):
        if answer is not None and followed[one.played]:
            found[one.strike.hand].append((one, played[answer]))
    return found


@dataclass(frozen=True, slots=True)
class Moment:
    """One place of the chart as it was played."""

    played: int
    """Index of the played bar."""
    place: float
    beat_seconds: float
    """Length of a beat as played there."""
    off_beat: bool
    """Swung by the chart's feel: its place in the beat is the player's own."""
    time: float
    """When it sounded: by the right hand where it plays, which has what is listened to. A hand
    that is always behind is moved to the other: it is told of once, and plays evenly."""
    left: HandStrike | None
    right: HandStrike | None
    free: bool = False
    """Its time is the player's: an ornament, a rolled chord, a fermata, a ritard."""


@dataclass(frozen=True, slots=True)
class Step:
    """The way from one moment to the next."""

    before: Moment
    after: Moment
    pace: float
    """Seconds of the take for a written second, thereabouts."""
    taken: float
    written: float
    lost: float
    """Seconds longer than the pace has it, or the slower of the steps beside it; negative for
    shorter than the pace."""

    @property
    def own(self) -> float:
        """Seconds that it took for a written second."""
        return self.taken / self.written

    def goes_on_from(self, other: "Step") -> bool:
        """Whether it begins where the other ends."""
        return self.before is other.after


def moments(playing: Playing) -> list[Moment]:
    """Every place that was answered, in the order of playing."""
    found: dict[tuple[int, float], dict[Hand, tuple[Due, HandStrike]]] = {}
    for hand in HANDS:
        for one, strike in playing.answers[hand]:
            found.setdefault((one.played, one.place), {}).setdefault(hand, (one, strike))
    made = []
    for (played, place), struck in sorted(found.items(), key=lambda item: item[0]):
        left, right = struck.get("left"), struck.get("right")
        one, _ = next(iter(struck.values()))
        _, heard = right or struck["left"]
        made.append(
            Moment(
                played,
                place,
                one.beat_seconds,
                one.off_beat,
                heard.time - playing.late[heard.hand],
                None if left is None else left[1],
                None if right is None else right[1],
                any(due.strike.waits or due.strike.adorned for due, _ in struck.values()),
            )
        )
    return made


def steps(playing: Playing, found: Sequence[Moment], *, free: bool = False) -> list[Step]:
    """The steps from moment to moment.

    None leads over bars that could not be followed, or back to a beginning of the song,
    since nobody need be in time to begin anew; nor from or to where the time
    is the player's, unless these are asked for as well (`free`).
    """
    bars = [heard.bar for heard in playing.heard]
    pairs = []
    for before, after in pairwise(found):
        beat = bars[after.played].seconds_per_beat
        anew = before.played != after.played and bars[after.played].index in playing.graph.starts
        between = playing.followed[before.played : after.played + 1]
        bent = (before.free or after.free) and not free
        # What was struck out of its order, such as another figure of the same keys, tells no time.
        turned = after.time <= before.time
        if (
            all(between)
            and not (anew or bent or turned)
            and (after.place - before.place >= SHORTEST * beat)
        ):
            pairs.append((before, after))
    paces = _paces(pairs, HALF_WINDOW * 60.0 / playing.graph.bpm)
    own = [_pace_of(*pair) for pair in pairs]
    made = []
    for index, (pair, pace) in enumerate(zip(pairs, paces, strict=True)):
        beside = [
            own[other]
            for other in (index - 1, index + 1)
            if 0 <= other < len(pairs) and _meet(pairs[min(index, other)], pairs[max(index, other)])
        ]
        made.append(_step(*pair, pace, max((pace, *beside))))
    return made


def _meet(one: tuple[Moment, Moment], other: tuple[Moment, Moment]) -> bool:
    """Whether one step goes on where the other ends."""
    return one[1] is other[0]


def _pace_of(before: Moment, after: Moment) -> float:
    return (after.time - before.time) / (after.place - before.place)


def _step(before: Moment, after: Moment, pace: float, slower: float) -> Step:
    """`slower` is the pace that the step and its neighbours have at the slowest."""
    taken, written = after.time - before.time, after.place - before.place
    lost = taken - pace * written
    if lost > 0.0:
        lost = max(0.0, taken - min(slower, SLOWED * pace) * written)
    return Step(before, after, pace, taken, written, lost)


def _paces(pairs: Sequence[tuple[Moment, Moment]], reach: float) -> list[float]:
    """The pace about each pair: the median of those around, each counting by its length."""
    middles = [(before.place + after.place) / 2 for before, after in pairs]
    rows = [(_pace_of(before, after), after.place - before.place) for before, after in pairs]
    paces, first, last = [], 0, 0
    for middle in middles:
        while middles[first] < middle - reach:
            first += 1
        while last < len(middles) and middles[last] <= middle + reach:
            last += 1
        paces.append(weighted_median(rows[first:last]))
    return paces


def weighted_median(rows: Sequence[tuple[float, float]]) -> float:
    """The value below which half of the weight lies; `rows` are pairs of a value and its weight."""
    ordered = sorted(rows)
    half, weight = sum(weight for _, weight in ordered) / 2, 0.0
    for value, own in ordered:
        weight += own
        if weight >= half:
            return value
    return ordered[-1][0]
