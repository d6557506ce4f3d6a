"""On which keys are a pattern's chords and basses written down?

A pattern says what to strike, not where. On paper the right hand takes chords in close
position about C4 to G5, each the shortest way from the last; the left hand has its bass
from E2 to D#3, and what it adds to the bass lies above it. Common practice of song
accompaniment, no source.
"""

from collections.abc import Iterable

from evaluator.chart.graph import Bar, ExpectedStrike, Span
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import NoteName, note_text, parse_note

RIGHT_LOW, RIGHT_HIGH = 60, 79
RIGHT_MIDDLE = 67
BASS_LOW = 40
MOST_TOGETHER = 5


class Voicing:
    """Remembers where the right hand lies."""

    def __init__(self) -> None:
        self._last: tuple[int, ...] = ()

    def keys(self, strike: ExpectedStrike, span: Span) -> tuple[int, ...]:
        """MIDI keys for one strike of a pattern."""
        if strike.pitches:
            return strike.pitches
        classes = sorted(strike.pitch_classes)
        if strike.hand == "left":
            bass = BASS_LOW + ((span.bass or 0) - BASS_LOW) % 12
            return tuple(sorted(bass + (pc - bass) % 12 for pc in classes))
        if strike.part == "tone":
            low = self._last[0] if self._last else RIGHT_LOW
            return tuple(low + (pc - low) % 12 for pc in classes)
        self._last = min(_close(classes), key=self._way)
        return self._last

    def _way(self, keys: tuple[int, ...]) -> tuple[float, tuple[int, ...]]:
        middle = sum(keys) / len(keys)
        before = sum(self._last) / len(self._last) if self._last else RIGHT_MIDDLE
        # A slight pull to the middle keeps a long song on the staff.
        return abs(middle - (0.8 * before + 0.2 * RIGHT_MIDDLE)), keys


def _close(classes: Iterable[int]) -> list[tuple[int, ...]]:
    """Every close position of the tones within the hand's range."""
    tones = list(classes)
    shapes = []
    for low in range(RIGHT_LOW, RIGHT_LOW + 12):
        if low % 12 in tones:
            keys = sorted(low + (pc - low) % 12 for pc in tones)
            shapes.append(tuple(keys[:MOST_TOGETHER]))
    return [keys for keys in shapes if keys[-1] <= RIGHT_HIGH] or shapes


def spelt(key: int, span: Span, bar: Bar) -> Pitch:
    """The note of a key as the chord spells it, else as the song's key does."""
    name = spelt_class(key % 12, span, bar)
    return Pitch(name, (key - name.alter) // 12 - 1)


def spelt_class(pc: int, span: Span, bar: Bar) -> NoteName:
    """The same for a pitch class."""
    flats = bar.key is not None and bar.key.flats
    return _names(span).get(pc) or parse_note(note_text(pc, flats=flats))


def _names(span: Span) -> dict[int, NoteName]:
    """The chord's tones by their letters: the third of D is F#."""
    chord = span.chord
    if chord is None:
        return {}
    names: dict[int, NoteName] = {}
    for tone in chord.chord:
        name = chord.root.above((tone.degree - 1) % 7 + 1, tone.semitones % 12)
        if name is not None:
            names[name.pc] = name
    names[chord.root.pc] = chord.root
    if chord.bass is not None:
        names[chord.bass.pc] = chord.bass
    return names
