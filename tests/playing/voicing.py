"""On which keys does each hand sound what the chart wants?

The right hand plays chords in close position about C4 to G5 and goes the shortest way
from chord to chord; the left hand has its bass notes from E2 to D#3, or from C2 to B2
where it breaks chords upward. Common practice of song accompaniment, no source.

Units: MIDI note numbers (middle C is 60) and pitch classes (C is 0).
"""

from collections.abc import Iterable

import numpy as np

RIGHT_LOW, RIGHT_HIGH = 60, 80
BASS_LOW = 40
BROKEN_BASS_LOW = 36
_HAND_MIDDLE = 67.0


class RightHand:
    """Remembers where the hand lies, so that the next chord is near."""

    def __init__(self) -> None:
        self.keys: tuple[int, ...] = ()

    def chord(
        self, pitch_classes: Iterable[int], rng: np.random.Generator | None = None
    ) -> tuple[int, ...]:
        """Keys in close position: nearest to the last chord, or any inversion with `rng`."""
        shapes = close_positions(pitch_classes)
        if rng is not None:
            self.keys = shapes[int(rng.integers(len(shapes)))]
        else:
            place = float(np.mean(self.keys)) if self.keys else _HAND_MIDDLE
            # A slight pull to the middle keeps a long song from creeping off the keyboard.
            aim = 0.8 * place + 0.2 * _HAND_MIDDLE
            self.keys = min(shapes, key=lambda keys: (abs(float(np.mean(keys)) - aim), keys))
        return self.keys

    def tone(self, pitch_class: int) -> int:
        """One key of this pitch class, within the chord's position if it is there."""
        for key in self.keys:
            if key % 12 == pitch_class:
                return key
        low = self.keys[0] if self.keys else RIGHT_LOW
        return low + (pitch_class - low) % 12


class LeftHand:
    """Remembers the bar's last key, so that a broken chord goes up to the octave of its root."""

    def __init__(self) -> None:
        self.last = 0

    def new_bar(self) -> None:
        """Begin again from below."""
        self.last = 0

    def bass(self, pitch_class: int, *, broken: bool = False) -> int:
        """The bass key of a pitch class; `broken` where a broken chord stands on it."""
        low = BROKEN_BASS_LOW if broken else BASS_LOW
        self.last = low + (pitch_class - low) % 12
        return self.last

    def tone(self, pitch_class: int, bass: int) -> int:
        """A tone of a broken chord above its bass; the bass's own class again is the octave."""
        low = BROKEN_BASS_LOW + (bass - BROKEN_BASS_LOW) % 12
        key = low + (pitch_class - low) % 12
        if key == low and low + 3 <= self.last < low + 12:
            key += 12
        self.last = key
        return key


def close_positions(pitch_classes: Iterable[int]) -> list[tuple[int, ...]]:
    """Every way to lay the tones within an octave of the right hand's keys, low to high.

    With more than five tones the hand leaves some out: an outer fifth finger has none left.
    """
    tones = sorted(set(pitch_classes))
    shapes = []
    for low in range(RIGHT_LOW, RIGHT_HIGH):
        if low % 12 in tones:
            keys = tuple(sorted(low + (tone - low) % 12 for tone in tones))
            if keys[-1] <= RIGHT_HIGH:
                shapes.append(keys)
    return shapes
