"""Chord tones against the kinds of MusicXML.

Source: MusicXML 4.0 (W3C), musicxml.xsd, simpleType kind-value, whose documentation names
the intervals of each kind; element degree-alter: an added degree counts from a dominant
chord (a plain 7 is minor), an altered one from the kind. The semitones of a kind are
worked out from those words.
"""

import pytest

from evaluator.theory.qualities import QUALITIES
from evaluator.theory.symbol import parse_chord

ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B Cb E#".split()  # noqa: SIM905
NATURAL = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

KIND_SEMITONES: dict[str, set[int]] = {
    "major": {0, 4, 7},
    "minor": {0, 3, 7},
    "augmented": {0, 4, 8},
    "diminished": {0, 3, 6},
    "dominant": {0, 4, 7, 10},
    "major-seventh": {0, 4, 7, 11},
    "minor-seventh": {0, 3, 7, 10},
    "diminished-seventh": {0, 3, 6, 9},
    "augmented-seventh": {0, 4, 8, 10},
    "half-diminished": {0, 3, 6, 10},
    "major-minor": {0, 3, 7, 11},
    "major-sixth": {0, 4, 7, 9},
    "minor-sixth": {0, 3, 7, 9},
    "dominant-ninth": {0, 4, 7, 10, 14},
    "major-ninth": {0, 4, 7, 11, 14},
    "minor-ninth": {0, 3, 7, 10, 14},
    "dominant-11th": {0, 4, 7, 10, 14, 17},
    "major-11th": {0, 4, 7, 11, 14, 17},
    "minor-11th": {0, 3, 7, 10, 14, 17},
    "dominant-13th": {0, 4, 7, 10, 14, 17, 21},
    "major-13th": {0, 4, 7, 11, 14, 17, 21},
    "minor-13th": {0, 3, 7, 10, 14, 17, 21},
    "suspended-second": {0, 2, 7},
    "suspended-fourth": {0, 5, 7},
    "power": {0, 7},
}
# Semitones of an added degree above the root of a dominant chord.
ADDED = {"7": 10, "b9": 13, "9": 14, "#9": 15, "11": 17, "#11": 18, "b13": 20, "13": 21}
# Altered fifth: what it takes the place of, and what comes.
ALTERED = {"b5": (7, 6), "#5": (7, 8)}

# Symbol: kind, degrees added or altered, degrees subtracted from the kind.
SYMBOLS: dict[str, tuple[str, str]] = {
    "": ("major", ""),
    "m": ("minor", ""),
    "dim": ("diminished", ""),
    "aug": ("augmented", ""),
    "sus4": ("suspended-fourth", ""),
    "sus2": ("suspended-second", ""),
    "5": ("power", ""),
    "6": ("major-sixth", ""),
    "m6": ("minor-sixth", ""),
    "69": ("major-sixth", "9"),
    "m69": ("minor-sixth", "9"),
    "7": ("dominant", ""),
    "maj7": ("major-seventh", ""),
    "m7": ("minor-seventh", ""),
    "mMaj7": ("major-minor", ""),
    "m7b5": ("half-diminished", ""),
    "dim7": ("diminished-seventh", ""),
    "aug7": ("augmented-seventh", ""),
    "maj7#5": ("major-seventh", "#5"),
    "7b5": ("dominant", "b5"),
    "7sus4": ("suspended-fourth", "7"),
    "9": ("dominant-ninth", ""),
    "maj9": ("major-ninth", ""),
    "m9": ("minor-ninth", ""),
    "mMaj9": ("major-minor", "9"),
    "9sus4": ("suspended-fourth", "7 9"),
    "11": ("dominant-11th", ""),
    "maj11": ("major-11th", ""),
    "m11": ("minor-11th", ""),
    "13": ("dominant-ninth", "13"),
    "maj13": ("major-ninth", "13"),
    "m13": ("minor-13th", ""),
    "13sus4": ("suspended-fourth", "7 9 13"),
    "add9": ("major", "9"),
    "madd9": ("minor", "9"),
    "add11": ("major", "11"),
    "madd11": ("minor", "11"),
    "sus2sus4": ("suspended-fourth", "9"),
    "7b9": ("dominant", "b9"),
    "7#9": ("dominant", "#9"),
    "7#11": ("dominant", "#11"),
    "7b13": ("dominant", "b13"),
    "7b5b9": ("dominant", "b5 b9"),
    "7#5b9": ("augmented-seventh", "b9"),
    "7#5#9": ("augmented-seventh", "#9"),
    "7b9b13": ("dominant", "b9 b13"),
    "7sus4b9": ("suspended-fourth", "7 b9"),
    "9b5": ("dominant-ninth", "b5"),
    "9#5": ("dominant-ninth", "#5"),
    "9#11": ("dominant-ninth", "#11"),
    "13b9": ("dominant", "b9 13"),
    "13#11": ("dominant-ninth", "#11 13"),
    "maj7#11": ("major-seventh", "#11"),
    "maj9#11": ("major-ninth", "#11"),
}


def pitch_classes(root: str, kind: str, degrees: str) -> set[int]:
    semitones = set(KIND_SEMITONES[kind])
    for degree in degrees.split():
        if degree in ALTERED:
            gone, come = ALTERED[degree]
            semitones = semitones - {gone} | {come}
        else:
            semitones.add(ADDED[degree])
    above_c = NATURAL[root[0]] + root.count("#") - root.count("b")
    return {(above_c + semitone) % 12 for semitone in semitones}


def test_every_quality_is_checked() -> None:
    assert set(SYMBOLS) == {quality.name for quality in QUALITIES}


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_tones_are_those_of_the_kind_and_its_degrees(symbol: str) -> None:
    kind, degrees = SYMBOLS[symbol]
    for root in ROOTS:
        assert parse_chord(root + symbol).tones == pitch_classes(root, kind, degrees), root


@pytest.mark.parametrize(("symbol", "kind"), [("13", "dominant-13th"), ("maj13", "major-13th")])
def test_major_thirteenths_are_the_kind_without_its_eleventh(symbol: str, kind: str) -> None:
    for root in ROOTS:
        chord = parse_chord(root + symbol)
        eleventh = (chord.root.pc + 5) % 12
        assert chord.tones == pitch_classes(root, kind, "") - {eleventh}
