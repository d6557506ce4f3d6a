"""How well does one strike fit each harmony of the song?

A note is a witness: it belongs to the chord with probability 1 - `foreign`, spread over
the chord's tones, or lies outside with `foreign`, spread over the other pitch classes;
aimless playing spreads it over all twelve. The logarithm of that ratio, summed over the
strike's distinct pitch classes and tempered since notes struck together come from one
decision, is the strike's gain. The lowest note counts again against the expected bass
when it lies low enough to be one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median

import numpy as np

from evaluator.chart.graph import Span
from evaluator.follow.costs import BOTH, HIGH, LOW, Costs, placing
from evaluator.follow.grid import Grid
from evaluator.follow.positions import FREELY, Floats, Harmony
from evaluator.take.strike import Strike
from evaluator.theory.symbol import ChordSymbol

SPLIT = 57
"""MIDI pitch below which a strike counts as low for the pattern's left hand (A3)."""
SURELY, HARDLY = -7, 3
"""Semitones from there between which a strike's lowest note becomes unlikely as a bass: D3, C4."""
OCTAVE, HAND = 12, 16
"""Semitones; the second is what one hand can span, a tenth."""
FEWEST_WIDE = 8
"""Strikes wider than one hand from which their middle shows where on the keyboard a take lies."""

ROOT, THIRD, FIFTH, EXTENSION = 1.4, 1.0, 1.3, 0.0
COLOUR, NEIGHBOUR, FOREIGN = 0.0, -1.5, -2.6
NEIGHBOURLY = (2, 9, 10, 11)
"""ln(12 x share) of the notes that sound on each degree of a chord, and outside it: ninths,
sixths and sevenths are added freely where the chart has a plain chord, and left out where
it has them. Counted on 20 professional accompaniments of POP909 (Wang et al., ISMIR 2020),
tests/bench/profile.py."""
WRITTEN, BESIDE_WRITTEN = 2.2, 0.0
"""The same where notes are written out: for those, as nine in ten notes of a player are what is
written, and at most for another tone of the chord."""
ADORNING = 0.0
"""Price, nats, of a strike that is part of an ornament written there."""
BASS, FIFTH_BASS, OTHER_BASS, FOREIGN_BASS = 2.0, 0.8, -0.8, -2.0
"""The same for a strike's lowest note, below A3."""

SINGLE = 1.8
"""What a single note above the bass gains under the chord of the song that suits it best, if it
is of no chord: a melody's, or aimless."""

ALONE = -1.0
"""What such a note speaks for any of the song being played: rather against it, unless it is a
piece of a chord, or the chart has notes written out."""

REMEMBERED = 128
"""Sets of keys whose gains are kept: most strikes of a take repeat earlier ones."""

_SCALE = 1.0 / np.sqrt(np.arange(13).clip(1))


class Hearing:
    """Gains of strikes under every harmony and at every kind of position, for takes that lie
    `transposed` semitones above the chart, -5..6 beside whole octaves."""

    def __init__(self, grid: Grid, costs: Costs, *, transposed: int = 0) -> None:
        trusted = costs.trust_pattern if grid.any_rhythm else costs.trust
        self.trusted = trusted
        """What is believed of the notes of a strike."""
        self._split = SPLIT + OCTAVE * ((transposed + 5) // OCTAVE)
        self._alone = 0.0 if grid.written_out else ALONE * trusted
        tones = np.zeros((12, len(grid.harmonies)))
        basses = np.zeros((12, len(grid.harmonies)))
        for column, harmony in enumerate(grid.harmonies):
            tones[:, column], basses[:, column] = _witnesses(harmony, trusted, costs.bass)
        self._tones = np.roll(tones, transposed, axis=0)
        self._basses = np.roll(basses, transposed, axis=0)
        freely = [harmony.manner == FREELY for harmony in grid.harmonies]
        self._believed = np.where(freely, costs.trust / trusted, 1.0)
        """(C,) the share of what the notes speak for each harmony rather than another that is
        believed: whoever plays freely adds notes freely."""
        self._placing = placing(costs, patterns=grid.any_rhythm)
        self._heard = lru_cache(maxsize=REMEMBERED)(self._listen)
        self._around = np.array(
            [[(pc - transposed) % 12 in one.around for one in grid.harmonies] for pc in range(12)]
        )
        """(12, C) whether a note of that pitch class may be an ornament."""
        self._plain = np.full(len(grid.harmonies), np.inf)
        self._any_around = bool(self._around.any())

    def hear(self, strike: Strike) -> "Heard":
        """What the notes of a strike say."""
        return self._heard(strike.pitches)

    def _listen(self, pitches: tuple[int, ...]) -> "Heard":
        classes = list({pitch % 12 for pitch in pitches})
        gain: Floats = self._tones[classes].sum(axis=0) * _SCALE[len(classes)]
        lowest = pitches[0]
        below = self._split + HARDLY - lowest
        if below > 0:
            weight = min(1.0, below / (HARDLY - SURELY))
            gain = gain + self._basses[lowest % 12] * weight
        best = suits = float(gain.max())
        if len(classes) == 1 and lowest >= self._split:  # one note, or its octaves, above the bass
            best = max(best - SINGLE, 0.0)
            suits = best + self._alone
        adorning = self._plain
        if self._any_around:
            adorning = np.where(self._around[classes].all(axis=0), ADORNING, np.inf)
        register = self._register(pitches)
        gain = self._believed * (gain - best)
        return Heard(gain, suits, adorning, register, self._placing[register])

    def _register(self, pitches: tuple[int, ...]) -> int:
        if pitches[0] >= self._split:
            return HIGH
        return LOW if pitches[-1] < self._split else BOTH


@dataclass(frozen=True, slots=True)
class Heard:
    """What the notes of a strike say."""

    gain: Floats
    """(C,) for each harmony rather than for the chord of the song that suits them best."""
    suits: float
    """For that chord."""
    adorning: Floats
    """(C,) the price of the strike as part of an ornament at each harmony: infinite where it is
    none."""
    register: int
    """Whether the strike lies low, high, or spans both,"""
    placed: Floats
    """(KINDS,) and what that does for each kind of position."""


def lies_above(strikes: Sequence[Strike], grid: Grid, transposed: int) -> int:
    """Semitones by which a take in that key lies above the chart, whole octaves among them; below
    zero under it."""
    return transposed + OCTAVE * octaves_above(strikes, grid)


def octaves_above(strikes: Sequence[Strike], grid: Grid) -> int:
    """Whole octaves by which a take lies above where two hands mostly do, below zero under it.

    What is wider than one hand tells; where one plays alone nobody knows which it is. Written
    notes lie wherever their composer put them.
    """
    if grid.written_out:
        return 0
    ends = [(strike.pitches[0], strike.pitches[-1]) for strike in strikes]
    middles = [(low + high) / 2 for low, high in ends if high - low > HAND]
    if len(middles) < FEWEST_WIDE:
        return 0
    return int((median(middles) - SPLIT + OCTAVE / 2) // OCTAVE)


def _witnesses(harmony: Harmony, trust: float, bass: float) -> tuple[Floats, Floats]:
    """Gain of each pitch class as a note, and as the lowest note, under one harmony."""
    chord = harmony.span.chord
    if chord is None and not harmony.written:
        return np.full(12, -0.3), np.zeros(12)
    tones, basses = [FOREIGN] * 12, [FOREIGN_BASS] * 12
    if chord is not None:
        _hear_chord(chord, harmony.span, tones, basses)
    if harmony.written:
        tones = [min(gain, BESIDE_WRITTEN) for gain in tones]
    for pc in harmony.around:
        tones[pc] = max(tones[pc], BESIDE_WRITTEN)
    for pc in harmony.written:
        tones[pc] = WRITTEN
    if harmony.low is None:
        return np.array(tones) * trust, np.zeros(12)
    basses[harmony.low] = BASS
    return np.array(tones) * trust, np.array(basses) * (trust * bass)


def _hear_chord(chord: ChordSymbol, span: Span, tones: list[float], basses: list[float]) -> None:
    """Put in what a chord's tones, and those near it, speak for it."""
    for step in NEIGHBOURLY:
        tones[(chord.root.pc + step) % 12] = NEIGHBOUR
    for colour in span.colours:
        for pc in colour.tones:
            tones[pc] = COLOUR
    for pc in chord.tones:
        tones[pc], basses[pc] = EXTENSION, OTHER_BASS
    for degree, gain in ((3, THIRD), (5, FIFTH), (1, ROOT)):
        tone = chord.degree(degree)
        if tone is not None:
            tones[tone] = gain
    fifth = chord.degree(5)
    if fifth is not None:
        basses[fifth] = FIFTH_BASS
    if span.bass is not None:
        tones[span.bass] = max(tones[span.bass], COLOUR)
