"""On which keys are a pattern's chords and basses written down?

A pattern says what to strike, not where. On paper as in the guides (`evaluator.practise.voicing`)
the right hand takes chords in close position, each the shortest way from the last; what the left
hand adds to its bass lies above it.
"""

from evaluator.chart.graph import Bar, ExpectedStrike, Span
from evaluator.practise.voicing import bass_key, next_chord, tone_key
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import NoteName, note_text, parse_note


class Voicing:
    """Remembers where the right hand lies."""

    def __init__(self) -> None:
        self._right: tuple[int, ...] = ()

    def keys(self, strike: ExpectedStrike, span: Span) -> tuple[int, ...]:
        """MIDI keys for one strike of a pattern, low to high."""
        if strike.pitches:
            return strike.pitches
        tones = strike.pitch_classes
        if strike.hand == "left":
            bass = bass_key(span.bass or 0, broken=False)
            return tuple(sorted(bass + (tone - bass) % 12 for tone in tones))
        if strike.part == "tone":
            return tuple(tone_key(tone, self._right) for tone in sorted(tones))
        self._right = next_chord(tones, self._right)
        return self._right


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
