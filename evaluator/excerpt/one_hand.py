"""Was this take played with one hand alone, and what is expected of that hand?

A student learns the hands one after the other. A take in which one hand answers hardly
anything that the pattern wants of it, and the other does, is a take of the other hand: the
song is then followed and judged again as if it were written for that hand only. Without a
pattern nothing says what each hand plays, and a take is judged as it is.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from evaluator.chart.graph import Bar, BarGraph, Hand
from evaluator.errors import UsageError
from evaluator.follow.grid import lay_out
from evaluator.follow.keys import key_likeness
from evaluator.follow.one_way import follow_in
from evaluator.follow.path import Path
from evaluator.judge.verdict import BarVerdict, Judgement
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

OTHER: Final[dict[Hand, Hand]] = {"left": "right", "right": "left"}

SILENT: Final = 0.9
"""A hand is not heard that misses a larger share of its strikes,"""
PLAYS: Final = 0.5
"""and the other plays if it misses less than this. Common practice, no source."""
LEAST_STRIKES: Final = 8
"""Of fewer strikes that are wanted of a hand nothing can be concluded."""
CLEARER: Final = 1.1
"""Another key is tried where the notes agree with it so many times as well."""
LEAST_SOUNDS: Final = 3
"""Of fewer different chords, or notes, no key can be told: one that is played wrongly may be the
other one in another key."""
REACH: Final = 16
"""Semitones that one hand can span: a tenth."""
MIDDLE: Final = 55
"""The key (G3) below which one hand's music is the left's."""
PART: Final = 26
"""Semitones of the keyboard, a little over two octaves, within which one hand stays."""
WIDE: Final = 0.05
"""Share of the strikes, or of the keys at either end, that may be beyond that."""


@dataclass(frozen=True, slots=True)
class Missed:
    """How many strikes a hand was to play, and how many of them did not come."""

    wanted: int
    missed: int

    @property
    def share(self) -> float:
        """The share that did not come, 0 to 1; 0 of nothing."""
        return self.missed / self.wanted if self.wanted else 0.0


def for_hand(graph: BarGraph, hand: Hand) -> BarGraph:
    """The song with the strikes of one hand.

    Raises `UsageError` for a chart without patterns or notes written out, and for what is no
    hand.
    """
    if hand not in OTHER:
        raise UsageError(f"The hand is left or right, not `{hand}`.")
    if not graph.has_patterns:
        raise UsageError(
            "The chart has no pattern, so it does not say what each hand plays: a take of it "
            "cannot be graded for one hand."
        )
    return replace(graph, bars=tuple(_one_handed(bar, hand) for bar in graph.bars))


def follow_hand(graph: BarGraph, strikes: Sequence[Strike], gaps: Sequence[Gap] = ()) -> Path:
    """The path of a take of one hand; `graph` has that hand's strikes only.

    A bass line has other notes than the chords over it, so the key that the piano was set
    to is told from the notes that the hand itself is to strike.
    """
    grid = lay_out(graph)
    paths = [follow_in(grid, strikes, shift, gaps) for shift in _likely_keys(graph, strikes)]
    return max(paths, key=lambda path: path.fit)


def heard_alone(graph: BarGraph, judgement: Judgement) -> Hand | None:
    """The hand that seems to have played alone, since the other missed nearly everything; None for
    both."""
    found = missed_by(graph, judgement.bars)
    for hand, other in OTHER.items():
        enough = min(found[hand].wanted, found[other].wanted) >= LEAST_STRIKES
        if enough and found[other].share > SILENT and found[hand].share < PLAYS:
            return hand
    return None


def missed_by(graph: BarGraph, verdicts: Iterable[BarVerdict]) -> Mapping[Hand, Missed]:
    """What each hand was to strike in some bars, and missed, as far as they were followed."""
    wanted: dict[Hand, int] = {"left": 0, "right": 0}
    missed: dict[Hand, int] = {"left": 0, "right": 0}
    for verdict in verdicts:
        if verdict.judged:
            for strike in graph.bars[verdict.bar].strikes:
                wanted[strike.hand] += 1
            for fault in verdict.rhythm.faults:
                missed[fault.hand] += fault.kind == "missed"
    return {hand: Missed(wanted[hand], missed[hand]) for hand in wanted}


def may_be_one_hand(graph: BarGraph, strikes: Sequence[Strike]) -> bool:
    """Whether one hand, without leaving its part of the keyboard, could have played a take."""
    if not graph.has_patterns or len(strikes) < LEAST_STRIKES:
        return False
    keys = sorted(key for strike in strikes for key in strike.pitches)
    outside = round(WIDE * len(keys))
    wide = sum(strike.pitches[-1] - strike.pitches[0] > REACH for strike in strikes)
    return keys[-1 - outside] - keys[outside] <= PART and wide <= WIDE * len(strikes)


def side_of(strikes: Sequence[Strike]) -> Hand:
    """The hand in whose half of the keyboard a take lies."""
    keys = sorted(key for strike in strikes for key in strike.pitches)
    return "left" if keys[len(keys) // 2] < MIDDLE else "right"


def _likely_keys(graph: BarGraph, strikes: Sequence[Strike]) -> list[int]:
    """The chart's own key, or that and another in which the hand's notes agree better."""
    wanted = np.zeros(12)
    sounds: set[frozenset[int]] = set()
    for bar in graph.bars:
        for expected in bar.strikes:
            sounds.add(expected.pitch_classes)
            for tone in expected.pitch_classes:
                wanted[tone] += 1
    likeness = key_likeness(wanted, strikes)
    if len(sounds) < LEAST_SOUNDS:
        return [0]
    best = max(likeness, key=lambda shift: likeness[shift])
    return [0] if likeness[best] < CLEARER * likeness[0] else [0, best]


def _one_handed(bar: Bar, hand: Hand) -> Bar:
    return replace(bar, strikes=tuple(strike for strike in bar.strikes if strike.hand == hand))
