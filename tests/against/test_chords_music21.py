"""Chord tones against `music21.harmony.ChordSymbol`.

Source: music21 (Cuthbert and Ariza 2010, ISMIR). Only figures that it reads as lead sheets
mean them are compared. A flat root is written `-` (with `b` it reads Bb7 a semitone too high
without an error) and minor `m`, never `-`. Figures that it refuses (`maj9`, `mMaj7`) are
written its own way; `69` (read as C, D, A), `13` and `maj13` (read with the natural eleventh)
and what it has no figure for are left to the other tables.
"""

import pytest

from evaluator.theory.symbol import parse_chord

harmony = pytest.importorskip("music21.harmony")

ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()  # noqa: SIM905

# Our symbol: the figure that music21 reads.
FIGURES = {
    "": "",
    "m": "m",
    "dim": "dim",
    "aug": "+",
    "sus4": "sus4",
    "sus2": "sus2",
    "5": "5",
    "6": "6",
    "m6": "m6",
    "7": "7",
    "maj7": "maj7",
    "m7": "m7",
    "mMaj7": "mM7",
    "m7b5": "m7b5",
    "ø7": "ø7",
    "dim7": "dim7",
    "aug7": "7+",
    "maj7#5": "+M7",
    "7sus4": "7sus4",
    "9": "9",
    "maj9": "M9",
    "m9": "m9",
    "mMaj9": "mM9",
    "11": "11",
    "maj11": "M11",
    "m11": "m11",
    "m13": "m13",
    "add9": "add9",
    "madd9": "madd9",
    "7b9": "7b9",
    "7#9": "7#9",
    "7#5": "7#5",
    "7b5": "7b5",
    "7#11": "7#11",
}


@pytest.mark.parametrize("symbol", FIGURES)
def test_tones_are_those_that_music21_reads(symbol: str) -> None:
    for root in ROOTS:
        figure = root.replace("b", "-") + FIGURES[symbol]
        pitches = harmony.ChordSymbol(figure).pitches
        assert parse_chord(root + symbol).tones == {p.pitchClass for p in pitches}, figure


@pytest.mark.parametrize("symbol", ["D/F#", "Am7/G", "F/G", "C/D"])
def test_the_slash_note_is_the_bass(symbol: str) -> None:
    assert parse_chord(symbol).bass_pc == harmony.ChordSymbol(symbol).bass().pitchClass
