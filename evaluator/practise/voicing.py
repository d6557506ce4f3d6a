"""On which keys does each hand sound what the chart wants?

The right hand has its chords in close position between C4 and G5: notes that two chords
share stay where they are, the others go the shortest way. The left hand has its bass notes
from E2 to D#3, or from C2 where it breaks a chord upward from them. Notes that the chart
writes out are played as they are. Common practice of song accompaniment, no source.

Units: MIDI keys (middle C is 60) and pitch classes (C is 0).
"""

from collections.abc import Sequence
from typing import Final

from evaluator.theory.symbol import ChordSymbol

RIGHT_LOW, RIGHT_HIGH = 60, 79
MIDDLE: Final = 67.0
"""Where the right hand likes to lie."""
PULL: Final = 0.3
"""What each semitone away from there costs, against 1 for a semitone that a note moves."""
LEAVES: Final = 4.0
"""What it costs to leave a note that the next chord has as well."""
FINGERS: Final = 4
"""Notes of the right hand; tones that a chord can do without are left out beyond them."""
BASS_LOW: Final = 40
BROKEN_LOW: Final = 36


def tones_to_play(chord: ChordSymbol) -> frozenset[int]:
    """The tones of the right hand: all, or where there are too many the needed ones first."""
    tones = set(chord.without_bass().tones)
    for tone in sorted(chord.optional, key=lambda tone: (tone - chord.root.pc) % 12):
        if len(tones) <= FINGERS:
            break
        tones.discard(tone)
    return frozenset(tones)


def next_chord(tones: frozenset[int], before: Sequence[int]) -> tuple[int, ...]:
    """The keys of a chord for a hand that lies on the keys `before`, low to high."""
    return min(close_positions(tones), key=lambda keys: (_way(keys, before), keys))


def close_positions(tones: frozenset[int]) -> list[tuple[int, ...]]:
    """Every way to lay the tones within an octave and the right hand's keys."""
    shapes = []
    for low in range(RIGHT_LOW, RIGHT_HIGH + 1):
        if low % 12 in tones:
            keys = tuple(sorted(low + (tone - low) % 12 for tone in tones))
            if keys[-1] <= RIGHT_HIGH:
                shapes.append(keys)
    # Seven tones or more fit an octave only where they begin at the lowest keys.
    return shapes or [tuple(sorted(RIGHT_LOW + tone for tone in tones))]


def tone_key(tone: int, keys: Sequence[int]) -> int:
    """The key of one tone in a chord that the right hand lies on."""
    for key in keys:
        if key % 12 == tone:
            return key
    return RIGHT_LOW + tone


def bass_key(tone: int, *, broken: bool) -> int:
    """The bass key of a pitch class."""
    low = BROKEN_LOW if broken else BASS_LOW
    return low + (tone - low) % 12


def broken_key(tone: int, bass: int, last: int | None) -> int:
    """A tone of a chord broken upward from its bass; the bass's own again is its octave."""
    key = bass + (tone - bass) % 12
    return key + 12 if key == bass and last is not None and last > bass + 2 else key


def _way(keys: Sequence[int], before: Sequence[int]) -> float:
    middle = PULL * abs(sum(keys) / len(keys) - MIDDLE)
    if not before:
        return middle
    left = sum(key % 12 in {other % 12 for other in keys} and key not in keys for key in before)
    moved = sum(min(abs(key - other) for other in before) for key in keys)
    return moved + LEAVES * left + middle
