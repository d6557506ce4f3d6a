"""Which chords does a take have, where nobody says which?

Every common chord on every root is rated by what is struck in each half beat; the likeliest
way from chord to chord is found by dynamic programming over beats (Viterbi; Sheh & Ellis,
"Chord Segmentation and Recognition using EM-Trained Hidden Markov Models", ISMIR 2003, with
templates in the place of what they train), and once more by the habits of the hands that it
shows (`roles.py`). Chords change at bar lines, less often elsewhere.
"""

from dataclasses import dataclass, replace

import numpy as np

from evaluator.draft.align import Alignment, bass_gains, change_chances, changes_in
from evaluator.draft.heard import Habits, Heard, fits
from evaluator.draft.key import scale_of
from evaluator.draft.roles import FirstWay, role_habits
from evaluator.theory.pitch import Key, note_text
from evaluator.theory.symbol import ChordSymbol, parse_chord

_QUALITIES = {
    **{"": 0.0, "m": 0.0, "m7": -1.5, "7": -2.0, "maj7": -2.0},
    **{"dim": -4.0, "m7b5": -4.0, "sus4": -4.0, "sus2": -4.0},
}
"""Chords that are looked for, and how much less likely than a plain one each is to begin."""
_OUTSIDE_KEY = -1.0
"""For each tone that the key has not."""
_OTHER, _OTHER_BY_HABIT = -1.8, -3.0
"""To any one other chord where a chord changes. These and the weights above and below were
chosen on twenty annotated songs."""
_WITNESS, _WITNESS_BY_HABIT = 2.0, 0.7
"""Strikes count for more where no sheet gives the order of the chords."""
_LOOKS = 3


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The chords that a take may have."""

    chords: tuple[ChordSymbol, ...]
    likely: tuple[float, ...]
    """Logarithm of how likely each is to begin, against the likeliest."""

    def in_key(self, key: Key) -> "Vocabulary":
        """The same chords spelt as the key spells them; those outside it less likely."""
        names = [note_text(pc, flats=key.flats) for pc in range(12)]
        chords = tuple(parse_chord(names[c.root.pc] + c.quality) for c in self.chords)
        outside = [len(chord.tones - scale_of(key)) for chord in chords]
        likely = zip(self.likely, outside, strict=True)
        return Vocabulary(chords, tuple(one + _OUTSIDE_KEY * out for one, out in likely))


def vocabulary() -> Vocabulary:
    """Every quality on every root."""
    roots = [note_text(pc, flats=False) for pc in range(12)]
    pairs = [(root + name, rare) for root in roots for name, rare in _QUALITIES.items()]
    return Vocabulary(
        tuple(parse_chord(text) for text, _ in pairs), tuple(rare for _, rare in pairs)
    )


def recognise(heard: Heard, words: Vocabulary, bar: int) -> Alignment:
    """The likeliest chords, as numbers of the vocabulary, in bars of `bar` beats."""
    halves = _WITNESS * fits(heard, words.chords)
    likely = (halves[0::2] + halves[1::2])[:, :, None] + bass_gains(heard, bar)[:, None, :]
    return _likeliest(likely, words, _OTHER, change_chances(bar))


def recognise_again(heard: Heard, words: Vocabulary, bar: int, way: Alignment) -> Alignment:
    """The chords by what the hands do at each place of the bar on the way found before."""
    for _ in range(_LOOKS):
        first = FirstWay(way.places, np.zeros_like(way.places), way.in_bar)
        usual = role_habits(heard, words.chords, first, Habits(), (1, bar))
        usual = replace(usual, weight=_WITNESS_BY_HABIT)
        likely = np.stack([usual.likely(beat)[0] for beat in range(heard.count)])
        way = _likeliest(likely, words, _OTHER_BY_HABIT, changes_in(way, bar))
    return way


def _likeliest(
    likely: np.ndarray, words: Vocabulary, other: float, chances: np.ndarray
) -> Alignment:
    """The best way; `likely` is (beats, chords, bar), `chances` of a change (bar,)."""
    count, _, bar = likely.shape
    rare = np.array(words.likely)[:, None]
    changes, stays = np.log(chances) + other + rare, np.log(1 - chances)
    values = np.full((len(words.chords), bar), -3.0) + rare
    values[:, 0] += 3.0
    values += likely[0]
    back = np.zeros((count, *values.shape), dtype=np.int16)
    rows = np.arange(len(words.chords))[:, None]
    for beat in range(1, count):
        onward = np.roll(values, 1, axis=1)
        best = onward.argmax(axis=0)
        moves = onward[best, np.arange(bar)] + changes
        stay = onward + stays
        back[beat] = np.where(moves > stay, best, rows)
        values = np.maximum(moves, stay) + likely[beat]
    chord, at = (int(place) for place in np.unravel_index(int(values.argmax()), values.shape))
    score = float(values[chord, at])
    chords, in_bar = [chord], [at]
    for beat in range(count - 1, 0, -1):
        chord, at = int(back[beat, chord, at]), (at - 1) % bar
        chords.append(chord)
        in_bar.append(at)
    return Alignment(np.array(chords[::-1]), np.array(in_bar[::-1]), score)
