"""Was the pattern played, and in time?

Each expected strike of each hand was answered by a played one or missed
(`evaluator.judge.timing`); an answer is early or late beyond a tolerance, and graded
within it. What answers nothing is an added strike, unless it is the second half of a
split chord, an ornament or a fill.

Sources. A tenth of a beat is how people play, and nothing is taken off for it: a player's
scatter grows with the interval (Repp 1997), and swing and rubato displace more than a listener
can just hear (2.5 % of the beat; Friberg and Sundberg 1995, JASA 98(5)). Beyond it the grade
falls as exp(-d^2 / 2 sigma^2), a bell as in Cemgil's beat accuracy (mir_eval.beat), with sigma
50 ms, or a tenth of a beat. A beat counts
as found within 70 ms (Davies, Degara, Plumbley 2009); a strike is called early or late
from 75 ms on, in slow music and in an uneven take from a little more.
"""

import math
from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean, median

from evaluator.chart.graph import ExpectedStrike, Hand
from evaluator.judge.hands import HandStrike
from evaluator.judge.heard import Event, HeardBar
from evaluator.judge.layout import Due
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.timing import Timing
from evaluator.judge.verdict import FaultKind, HandManner, RhythmVerdict, StrikeFault, StrikeVerdict

SIGMA, SIGMA_BEATS = 0.050, 0.1
"""Width of the grade: seconds, and share of a beat if that is more."""
FREE, FREE_BEATS = 0.025, 0.1
"""Nothing is taken off below: seconds, and share of a beat if that is more."""
TOLERANCE, TOLERANCE_BEATS, MOST_TOLERANCE = 0.075, 0.11, 0.105
"""Early or late from: seconds, and share of a beat if that is more, up to the last."""
WRITTEN_BEATS, MOST_WRITTEN = 0.2, 0.150
"""The same of written notes, which a player shapes: share of a beat, up to so many seconds. An
off-beat eighth that is swung lies a sixth of a beat late, a dotted one a quarter."""
UNEVEN = 3.5
"""An uneven take is forgiven so many times its own spread, up to `MOST_TOLERANCE`."""
SPLIT = 0.150
"""Seconds within which a strike beside another of the same hand is a part of it."""
SAME_PLACE = 0.2
"""Beats."""
ADDED_COST = 0.5
"""Against 1 for a missed strike: it takes nothing away from the music."""
FILL_COST = 0.03
"""A fill is the player's own, as long as it is not all the time."""
SOFT = 0.8
"""Loudness against the hand's usual: a softer single note, let go at once, is an ornament."""
SHORT, SHORTER = 0.12, 0.5
"""Let go at once: within so many seconds, and within this share of the hand's usual."""


@dataclass(frozen=True, slots=True)
class Ear:
    """What is usual in this take, so that a strike is held against its player and not against a
    machine."""

    spread: float
    """Usual size of the lateness, seconds."""
    loudness: dict[Hand, float]
    """Median velocity of each hand's strikes."""
    length: dict[Hand, float]
    """Median seconds for which each hand holds its keys."""
    strikes: dict[Hand, tuple[HandStrike, ...]]
    """Each hand's strikes that answer something, in order of time."""
    rubric: Rubric = STEADY
    """What is forgiven."""


def get_used_to(timing: Timing, played: Sequence[HandStrike], rubric: Rubric = STEADY) -> Ear:
    """Listen to the whole take before any bar is judged: how far strikes stray, how loud and how
    long each hand plays."""
    answered = [answer for answer in timing.answers if answer is not None]
    late = [
        one for one, answer in zip(timing.late, timing.answers, strict=True) if answer is not None
    ]
    # What is astray already must not widen the tolerance that finds it.
    most = rubric.width * MOST_TOLERANCE
    spread = math.sqrt(fmean(min(one**2, most**2) for one in late)) if late else 0.0
    loudness: dict[Hand, list[float]] = {"left": [], "right": []}
    length: dict[Hand, list[float]] = {"left": [], "right": []}
    for strike in played:
        loudness[strike.hand].append(strike.loudest)
        length[strike.hand].append(strike.seconds)
    struck: dict[Hand, list[HandStrike]] = {"left": [], "right": []}
    for answer in answered:
        struck[played[answer].hand].append(played[answer])
    return Ear(
        spread,
        _medians(loudness),
        _medians(length),
        {hand: tuple(sorted(found, key=_when)) for hand, found in struck.items()},
        rubric,
    )


def _medians(found: dict[Hand, list[float]]) -> dict[Hand, float]:
    return {hand: float(median(values)) if values else 0.0 for hand, values in found.items()}


@dataclass(frozen=True, slots=True)
class Awaited:
    """A strike that is expected in a bar."""

    due: Due
    answered: bool
    late: float
    """Seconds; 0 where nothing answered it."""


@dataclass(slots=True)
class _Counted:
    """What came of the strikes that the pattern wants of one bar."""

    credit: float = 0.0
    hits: int = 0
    kept: int = 0
    """Strikes that count: all but those that the rubric lets pass."""
    faults: list[StrikeFault] = field(default_factory=list)
    late: list[float] = field(default_factory=list)
    strikes: list[StrikeVerdict] = field(default_factory=list)


def judge_rhythm(
    heard: HeardBar,
    pattern: Sequence[ExpectedStrike],
    wanted: Sequence[Awaited],
    ear: Ear,
    mended: Collection[int] = (),
) -> RhythmVerdict:
    """The verdict on the rhythm of a played bar.

    `pattern`: what the chart has there. `wanted`: what is expected of hands that play in the
    manner heard here, and how it was answered. `mended`: indices of spans in which the player put
    something right; strikes too many are no fault there.
    """
    if not pattern:
        return RhythmVerdict(None, 0, (), 0.0, 0.0)
    counted = _count(heard, wanted, ear)
    lost = [one for one in heard.laid.lost if heard.plays(one.hand) == "pattern"]
    counted.faults += (StrikeFault("missed", float(strike.beat), strike.hand) for strike in lost)
    counted.kept += len(lost) if ear.rubric.has("missed_strike") else 0
    added, cost = _added(heard, ear, mended)
    other = sum(
        heard.plays(strike.hand) != "pattern" and heard.laid.reaches(strike.beat)
        for strike in pattern
    )
    credit = counted.credit + other * (1.0 - ear.rubric.price_of_other_rhythm)
    total = counted.kept + other + cost
    late = counted.late
    extra = (StrikeVerdict(one.beat, one.hand, "added") for one in added)
    return RhythmVerdict(
        score=credit / total if total else None,
        hits=counted.hits,
        faults=tuple(sorted((*counted.faults, *added), key=lambda one: (one.beat, one.hand))),
        late_ms=1000 * fmean(late) if late else 0.0,
        spread_ms=1000 * _spread(late) if late else 0.0,
        otherwise=tuple(HandManner(hand, manner) for hand, manner in heard.laid.manners.items()),
        strikes=tuple(sorted((*counted.strikes, *extra), key=lambda one: (one.beat, one.hand))),
    )


def _count(heard: HeardBar, wanted: Sequence[Awaited], ear: Ear) -> _Counted:
    counted = _Counted()
    beat_seconds = heard.laid.beat_seconds
    written = heard.bar.written_out
    tolerance = _tolerance(beat_seconds, ear, written=written)
    for awaited in wanted:
        one, answered, off = awaited.due, awaited.answered, awaited.late
        hand = one.strike.hand
        came = StrikeVerdict(one.beat, hand, "in time", round(1000 * off, 1))
        if answered:
            counted.late.append(off)
        if heard.plays(hand) != "pattern":
            counted.strikes += [came] if answered else []
            continue
        if not answered and not _other_hand_has_it(heard, one):
            counted.faults.append(StrikeFault("missed", one.beat, hand))
            counted.strikes.append(replace(came, how="missed", late_ms=0.0))
            counted.kept += ear.rubric.has("missed_strike")
            continue
        counted.kept += 1
        counted.credit += _grade(off, beat_seconds, ear.rubric)
        if abs(off) > tolerance:
            kind: FaultKind = "late" if off > 0 else "early"
            counted.faults.append(StrikeFault(kind, one.beat, hand, came.late_ms))
            came = replace(came, how=kind)
        else:
            counted.hits += answered
        counted.strikes.append(came)
    return counted


def _other_hand_has_it(heard: HeardBar, one: Due) -> bool:
    """Whether a tone of a broken chord was struck by the other hand, which does not play its
    own pattern: the figure goes through both."""
    if not heard.laid.manners or one.strike.part != "tone":
        return False
    return any(
        event.strike.hand != one.strike.hand and abs(event.beat - one.beat) <= SAME_PLACE
        for events in heard.events
        for event in events
    )


def _spread(late: Sequence[float]) -> float:
    mean = fmean(late)
    return math.sqrt(fmean((one - mean) ** 2 for one in late))


def _grade(off: float, beat_seconds: float, rubric: Rubric) -> float:
    beyond = abs(off) - rubric.width * max(FREE, FREE_BEATS * beat_seconds)
    if beyond <= 0.0:
        return 1.0
    if not rubric.has("late_strike" if off > 0 else "early_strike"):
        return 1.0
    sigma = rubric.width * max(SIGMA, SIGMA_BEATS * beat_seconds)
    return math.exp(-(beyond**2) / (2 * sigma**2))


def _tolerance(beat_seconds: float, ear: Ear, *, written: bool = False) -> float:
    """`written`: the notes of both hands are written out."""
    width = ear.rubric.width
    usual = max(width * max(TOLERANCE, TOLERANCE_BEATS * beat_seconds), UNEVEN * ear.spread)
    usual = min(usual, width * MOST_TOLERANCE)
    if not written:
        return usual
    return max(usual, width * min(WRITTEN_BEATS * beat_seconds, MOST_WRITTEN))


def _added(heard: HeardBar, ear: Ear, mended: Collection[int]) -> tuple[list[StrikeFault], float]:
    """Added strikes of a bar, and the cost of them and of its fills."""
    faults, cost = [], 0.0
    # Of written notes every piece of a strike is known already.
    exact = heard.bar.written_out
    melodic = any(strike.part == "tone" for strike in heard.bar.strikes if strike.hand == "right")
    for index, events in enumerate(heard.events):
        for event in events:
            if event.due is not None or (not exact and _splits(event.strike, ear)):
                continue
            if index in mended or _is_free(heard, event, index):
                continue
            if _ornamental(event, ear, melodic=melodic):
                cost += FILL_COST
                continue
            cost += ADDED_COST
            beat = round(max(0.0, event.beat) * 12) / 12
            faults.append(StrikeFault("added", beat, event.strike.hand))
    return faults, cost if ear.rubric.has("added_strike") else 0.0


def _is_free(heard: HeardBar, event: Event, span: int) -> bool:
    """Whether the pattern has no say: the hand plays otherwise, or a tune above its chords, or
    has its part in a chord that the other hand breaks."""
    strike = event.strike
    if heard.plays(strike.hand) != "pattern":
        return True
    single = len({pitch % 12 for pitch in strike.pitches}) == 1
    if strike.hand == "right" and heard.laid.tune:
        return single
    broken = any(manner in ("single", "broken") for manner in heard.laid.manners.values())
    return broken and single and strike.pitches[0] % 12 in heard.bar.spans[span].allowed


def _ornamental(event: Event, ear: Ear, *, melodic: bool) -> bool:
    """A fill of the right hand, or a single key just touched; a bass once more is neither."""
    strike = event.strike
    if len(strike.pitches) > 1:
        return False
    if strike.hand == "right" and not melodic:
        return True
    soft = strike.loudest < SOFT * ear.loudness[strike.hand]
    return soft and strike.seconds < min(SHORT, SHORTER * ear.length[strike.hand])


def _splits(strike: HandStrike, ear: Ear) -> bool:
    """Whether the strike is the second half of a chord, or a grace note before it.

    Then it has other keys than the chord has; the same keys again are another strike.
    """
    others = ear.strikes[strike.hand]
    place = bisect_left(others, strike.time, key=_when)
    return any(
        abs(other.time - strike.time) <= SPLIT and not set(other.pitches) & set(strike.pitches)
        for other in others[max(0, place - 1) : place + 1]
    )


def _when(strike: HandStrike) -> float:
    return strike.time
