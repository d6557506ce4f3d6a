"""Which keys inside a chord only did not speak?

Of a chord the ear holds on to the highest note and the lowest, of all that both hands strike
together; one key between them that does not speak is noticed by hardly anybody, and happens to
every pianist. It is told and not held against the player, unless it is left out of this chord
most of the times that the hand strikes it: then it is not known, or not reached. Common
practice, no source. Where both hands are written out.
"""

from collections import Counter
from collections.abc import Sequence
from itertools import chain

from evaluator.chart.graph import Bar, ExpectedStrike, Hand
from evaluator.judge.heard import HeardBar

ONCE = 1
"""Times that a key may stay out of a chord, however seldom the chord comes."""

LeftOut = frozenset[tuple[Hand, tuple[int, ...], int]]
"""Hands, the keys of a chord of theirs, and the one that is left out of it."""


def _inner_keys(due: ExpectedStrike, bar: Bar) -> frozenset[int]:
    """The keys of a chord that are neither the highest nor the lowest that is written there."""
    if len(due.pitches) < 2 or not bar.written_out:
        return frozenset()
    every = [key for one in bar.strikes if one.beat == due.beat for key in one.pitches]
    return frozenset(due.pitches) - {min(every), max(every)}


def left_out(heard: Sequence[HeardBar]) -> LeftOut:
    """The inner keys that stay out of their chords most of the times that these are struck."""
    struck: Counter[tuple[Hand, tuple[int, ...], int]] = Counter()
    silent: Counter[tuple[Hand, tuple[int, ...], int]] = Counter()
    for bar in heard:
        for event in chain.from_iterable(bar.events):
            if event.due is None:
                continue
            for key in _inner_keys(event.due, bar.bar):
                chord = (event.due.hand, event.due.pitches, key)
                struck[chord] += 1
                silent[chord] += key not in event.strike.pitches
    return frozenset(
        chord for chord, times in silent.items() if times > max(ONCE, struck[chord] / 2)
    )


def mostly_struck(due: ExpectedStrike, bar: Bar, never: LeftOut) -> frozenset[int]:
    """The inner keys of a chord but those that are left out of it most of the times."""
    return frozenset(
        key for key in _inner_keys(due, bar) if (due.hand, due.pitches, key) not in never
    )
