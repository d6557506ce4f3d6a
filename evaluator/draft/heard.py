"""What was heard in each half of a beat, and how well does a chord of the sheet fit it?

A strike belongs to the half beat in which it begins, or to the next one if it comes just
before it. The bass is a note with none lower about it. The likelihoods are those of a tone
that belongs to the chord, and of the bass that the chord's name asks for.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from evaluator.take.model import Seconds
from evaluator.take.strike import OCTAVE, Strike
from evaluator.theory.symbol import ChordSymbol

EARLY, EARLY_SHARE = 0.060, 0.15
"""So much before a half beat a strike is still meant for it: seconds, and of its length."""
HIGHEST_BASS = 60
_ABOUT, _LOWEST, _NEAR = 3, 2, 7
"""Half beats about a bass note in which none may lie lower, by more than so many semitones:
of one that bears a bar, of one that bears a chord."""
NONE = 127

_BASS_WEIGHT = 0.7
DEPENDENT = 0.25
"""Weight of one strike beside another: those of one chord are no independent witnesses.
Chosen on twenty annotated songs."""
_NO_CHORD_TONE = -2.5
_MOSTLY = 0.6
_USUAL_TONES, _USUAL_BASSES = 20.0, 10.0
"""Tones and basses that what is usual counts for beside what was heard."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How closely a player keeps to the chords of the sheet."""

    inside: float = 0.85
    """Share of struck tones that belong to the chord: so in twenty annotated songs."""
    bass: float = 0.6
    """Share of bass notes that are the chord's."""
    bass_inside: float = 0.25
    """Share of bass notes that are another of its tones."""
    basses: Mapping[ChordSymbol, int] = field(default_factory=dict)
    """Pitch class of the bass under chords that mostly stand on another than their own."""


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """A take by half beats."""

    beats: Seconds
    """(n + 1,) seconds."""
    tones: np.ndarray
    """(2n, 12) 1 where that pitch class was struck."""
    low: np.ndarray
    """(2n,) key of the bass note struck there, `NONE` for none."""
    deep: np.ndarray
    """(2n,) whether it is the lowest about."""
    left: np.ndarray
    """(2n,) whether there is a note that the left hand may have struck as a bass."""

    @property
    def count(self) -> int:
        return len(self.beats) - 1


def hear(strikes: Sequence[Strike], beats: Seconds) -> Heard:
    """What was struck in each half beat."""
    halves = half_beats(beats)
    lengths = np.diff(halves)
    early = np.minimum(EARLY, EARLY_SHARE * 2 * lengths)
    edges = halves[:-1] - early
    tones = np.zeros((len(lengths), 12))
    low = np.full(len(lengths), NONE)
    for strike in strikes:
        place = int(np.searchsorted(edges, strike.time, side="right")) - 1
        if place < 0:
            continue
        tones[place, [pitch % 12 for pitch in strike.pitches]] = 1.0
        low[place] = min(low[place], strike.pitches[0])
    padded = np.pad(low, _ABOUT, constant_values=NONE)
    lowest = np.min([padded[k : k + len(low)] for k in range(2 * _ABOUT + 1)], axis=0)
    bass = np.where((low <= lowest + _NEAR) & (low <= HIGHEST_BASS), low, NONE)
    left = (low <= lowest + OCTAVE) & (low <= HIGHEST_BASS)
    return Heard(beats, tones, bass, (bass != NONE) & (low <= lowest + _LOWEST), left)


def transposed(heard: Heard, semitones: int) -> Heard:
    """The same, played so much higher."""
    low = np.where(heard.low == NONE, NONE, heard.low + semitones)
    return replace(heard, tones=np.roll(heard.tones, semitones, axis=1), low=low)


def half_beats(beats: Seconds) -> Seconds:
    """(2n + 1,) seconds: the beats and what lies half-way between them."""
    middles = (beats[:-1] + beats[1:]) / 2
    return np.append(np.stack([beats[:-1], middles], axis=1).ravel(), beats[-1])


def fits(
    heard: Heard, chords: Sequence[ChordSymbol | None], habits: Habits = Habits()
) -> np.ndarray:
    """(2n, chords): log likelihood of what was struck in each half beat under each chord."""
    found = np.zeros((len(heard.tones), len(chords)))
    bass = np.where(heard.low == NONE, 12, heard.low % 12)
    for column, chord in enumerate(chords):
        if chord is None:
            found[:, column] = _NO_CHORD_TONE * heard.tones.sum(axis=1)
            continue
        inside = sorted(chord.tones)
        tone = np.full(12, np.log((1 - habits.inside) / max(1, 12 - len(inside))))
        tone[inside] = np.log(habits.inside / len(inside))
        outside = 1 - habits.bass - habits.bass_inside
        low = np.full(13, np.log(outside / max(1, 11 - len(inside))))
        low[inside] = np.log(habits.bass_inside / len(inside))
        low[habits.basses.get(chord, chord.bass_pc)] = np.log(habits.bass)
        low[12] = 0.0
        found[:, column] = heard.tones @ tone + _BASS_WEIGHT * low[bass]
    return DEPENDENT * found


def habits_in(heard: Heard, chords: Sequence[ChordSymbol | None]) -> Habits:
    """The habits that a first way through the sheet shows; `chords` by beat."""
    usual, basses = Habits(), _usual_basses(heard, chords)
    tones = np.array([_USUAL_TONES * usual.inside, _USUAL_TONES * (1 - usual.inside)])
    outside = 1 - usual.bass - usual.bass_inside
    bass = _USUAL_BASSES * np.array([usual.bass, usual.bass_inside, outside])
    for beat, chord in enumerate(chords):
        if chord is None:
            continue
        inside = sorted(chord.tones)
        struck = heard.tones[2 * beat : 2 * beat + 2].sum(axis=0)
        tones += np.array([struck[inside].sum(), struck.sum() - struck[inside].sum()])
        wanted = basses.get(chord, chord.bass_pc)
        for low in heard.low[2 * beat : 2 * beat + 2].tolist():
            if low != NONE:
                bass[0 if low % 12 == wanted else 1 if low % 12 in chord.tones else 2] += 1
    bass /= bass.sum()
    return Habits(float(tones[0] / tones.sum()), float(bass[0]), float(bass[1]), basses)


def _usual_basses(heard: Heard, chords: Sequence[ChordSymbol | None]) -> dict[ChordSymbol, int]:
    """Basses with which chords mostly begin, where they are not the chords' own."""
    begun: dict[ChordSymbol, list[int]] = defaultdict(list)
    for beat, chord in enumerate(chords):
        low = int(heard.low[2 * beat])
        if chord is not None and low != NONE and (not beat or chords[beat - 1] != chord):
            begun[chord].append(low % 12)
    found = {}
    for chord, basses in begun.items():
        most = max(sorted(set(basses)), key=basses.count)
        if most != chord.bass_pc and basses.count(most) > max(1, _MOSTLY * len(basses)):
            found[chord] = most
    return found
