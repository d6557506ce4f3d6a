"""Does one hand come behind the other throughout?

Whoever plays the left hand a moment before the right does so all through a song. Their strikes
are then heard as two, or as one in time and one out of it, and a pattern or the metre as another.
If hands that strike alone mostly lie the same time apart, the later one is put back by it and its
strikes are put together with the other hand's. Common practice of teaching, no source.

Units: seconds.
"""

from dataclasses import dataclass, replace

import numpy as np

from evaluator.follow.hearing import OCTAVE, SPLIT, octaves_above
from evaluator.follow.playing import Playing
from evaluator.follow.positions import Floats
from evaluator.take.strike import HAND_WINDOW, HANDS_WINDOW, Strike, joined

MOST = 0.18
"""So far apart hands may lie: 0.15 in the players of tests/bench/kinds.py, and some more."""
ALIKE = 0.04
"""From their usual distance, at most."""
FEWEST, MOSTLY, OFTEN = 12, 0.7, 0.1
"""At least so many strikes of the lower hand have one of the other at that distance; so large a
share of those that have one near at all, and of all strikes. Chosen on tuning seeds."""


@dataclass(frozen=True, slots=True)
class Together:
    """The strikes of a take as they were meant."""

    strikes: tuple[Strike, ...]
    pieces: tuple[tuple[int, ...], ...]
    """Which strikes of the take each of them is made of."""


def hands_together(playing: Playing) -> Together | None:
    """The strikes without the distance of the hands; None if there is none that is usual."""
    strikes = playing.strikes
    split = SPLIT + OCTAVE * octaves_above(strikes, playing.grid())
    low = [at for at, strike in enumerate(strikes) if strike.pitches[-1] < split]
    high = [at for at, strike in enumerate(strikes) if strike.pitches[0] >= split]
    times = np.array([strike.time for strike in strikes])
    behind = _behind(times[low], times[high], len(strikes))
    if not behind:
        return None
    late = set(high if behind > 0.0 else low)
    meant: list[tuple[Strike, tuple[int, ...]]] = [
        (_earlier(strike, abs(behind) * (at in late)), (at,)) for at, strike in enumerate(strikes)
    ]
    meant.sort(key=lambda one: one[0].time)
    whole = meant[:1]
    for strike, piece in meant[1:]:
        before, pieces = whole[-1]
        if strike.time - before.time <= HAND_WINDOW and _are_two_hands(before, strike, split):
            whole[-1] = (joined((before, strike), HANDS_WINDOW), pieces + piece)
        else:
            whole.append((strike, piece))
    return Together(tuple(strike for strike, _ in whole), tuple(pieces for _, pieces in whole))


def _behind(low: Floats, high: Floats, count: int) -> float:
    """How long the higher hand usually comes after the lower, below zero before it; 0 if they come
    together. (L,) and (H,) when each strikes alone, of so many strikes in all."""
    around = np.concatenate(([-np.inf], high, [np.inf]))
    after = around.searchsorted(low)
    near = np.stack((around[after - 1], around[after])) - low
    nearest = near[np.abs(near).argmin(axis=0), np.arange(len(low))]
    apart = np.sort(nearest[np.abs(nearest) <= MOST])
    if not len(apart):
        return 0.0
    first = apart.searchsorted(apart - ALIKE)
    until = apart.searchsorted(apart + ALIKE, side="right")
    most = int((until - first).argmax())
    usual = apart[first[most] : until[most]]
    struck_as_one = count - len(low) - len(high)
    enough = max(FEWEST, MOSTLY * len(apart), OFTEN * count, struck_as_one + 1)
    behind = float(np.median(usual))
    return behind if len(usual) >= enough and abs(behind) > HAND_WINDOW else 0.0


def _earlier(strike: Strike, by: float) -> Strike:
    return replace(strike, time=strike.time - by, last=strike.last - by)


def _are_two_hands(one: Strike, other: Strike, split: int) -> bool:
    """Whether one strike lies below the split and the other above it."""
    low, high = sorted((one.pitches, other.pitches))
    return low[-1] < split <= high[0]
