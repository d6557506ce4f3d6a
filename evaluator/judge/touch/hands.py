"""How do the hands go together, and how are they balanced?

Together: the time between the hands where both strike. Nine tenths of such pairs of
concert pianists lie within 51 ms (150 performances of the ASAP data set, Foscarin et al.,
ISMIR 2020), and amateurs differ from experts in just this (Kim, Park, Rhyu, Nam, Lee 2021,
PLoS ONE 16(5)). Balance: the loudness of the left hand against the right, which has the
melody where its notes are written out. Evenness of loudness: how much a hand's loudness
changes from strike to strike. Where each hand has one loudness throughout, the keys do not
feel it or nobody struck them, and neither can be told.

Units: milliseconds; MIDI velocities.
"""

from collections.abc import Sequence
from statistics import fmean, median, pstdev

from evaluator.chart.graph import Hand
from evaluator.judge.hands import TOGETHER, Late
from evaluator.judge.touch.playing import Moment, Playing

FEW = 8
"""Strikes that show how a hand plays."""
APART = 2.0
"""Times the usual distance, and at least `APART_MS`, where the hands come apart."""
APART_MS = 60.0
LOUDER = 8.0
"""Velocities above the usual balance where it is out of balance in one bar."""


def apart(found: Sequence[Moment], late: Late) -> tuple[float, tuple[int, ...]] | None:
    """How far the hands are apart in time, a median in milliseconds, positive if the left comes
    later; and the played bars in which they are farthest apart. None where that cannot be told.

    Where they never strike together it is told from how late each always is.
    """
    pairs = [
        (1000.0 * (one.left.time - one.right.time), one.played)
        for one in found
        if one.left is not None and one.right is not None
    ]
    if len(pairs) < FEW:
        return (1000.0 * (late["left"] - late["right"]), ()) if late != TOGETHER else None
    usual = median(abs(ms) for ms, _ in pairs)
    far = sorted(((abs(ms), bar) for ms, bar in pairs), reverse=True)
    bars = tuple(dict.fromkeys(bar for ms, bar in far if ms > max(APART * usual, APART_MS)))
    later = sum(ms > 0 for ms, _ in pairs) * 2 >= len(pairs)
    return (usual if later else -usual), bars


def balance(playing: Playing) -> tuple[float, tuple[int, ...]] | None:
    """By how much the left hand is louder than the right, MIDI velocity (loudest key of each
    strike); and the played bars in which it is loudest against it. None where that cannot be
    told."""
    by_bar: dict[int, dict[Hand, list[float]]] = {}
    for hand in ("left", "right"):
        for one, strike in playing.answers[hand]:
            by_bar.setdefault(one.played, {}).setdefault(hand, []).append(max(strike.velocities))
    left = [loud for bar in by_bar.values() for loud in bar.get("left", ())]
    right = [loud for bar in by_bar.values() for loud in bar.get("right", ())]
    if min(len(left), len(right)) < FEW or not _felt(left, right):
        return None
    usual = median(left) - median(right)
    bars = {
        bar: fmean(hands["left"]) - fmean(hands["right"])
        for bar, hands in by_bar.items()
        if len(hands) == 2
    }
    worst = sorted((bar for bar, off in bars.items() if off > usual + LOUDER), key=bars.__getitem__)
    return usual, tuple(reversed(worst))


def has_melody(playing: Playing) -> bool:
    """Whether the right hand has written-out notes, and mostly one at a time."""
    counts = [
        len(one.strike.pitches)
        for one in playing.due
        if one.strike.hand == "right" and one.strike.pitches
    ]
    wanted = sum(one.strike.hand == "right" for one in playing.due)
    return bool(counts) and 2 * counts.count(1) > wanted


def shading(playing: Playing) -> float | None:
    """By how much the loudness of the melody varies: a standard deviation, MIDI velocity. None
    without a melody."""
    loud = [max(strike.velocities) for _, strike in playing.answers["right"]]
    if len(loud) < FEW or not has_melody(playing) or not _felt(loud):
        return None
    return pstdev(loud)


def _felt(*hands: Sequence[float]) -> bool:
    """Whether the loudness of any hand ever changes."""
    return any(len(set(loud)) > 1 for loud in hands)
