"""Chord tones against `mir_eval.chord.encode`.

Source: mir_eval (Raffel et al. 2014, ISMIR), whose vocabulary is the syntax of Harte,
Sandler, Abdallah, Gomez (2005). Extended chords are encoded with their extensions
(`reduce_extended_chords=True`; without it they are dropped and add9 equals major). Its 13
and maj13 hold the natural eleventh and ours do not, so they are written out. A bass that is
no chord tone is left out: mir_eval adds it to the tones.
"""

from collections.abc import Callable
from types import ModuleType

import pytest

from evaluator.theory.qualities import QUALITIES
from evaluator.theory.symbol import parse_chord

ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()  # noqa: SIM905

HARTE = {
    "": "maj",
    "m": "min",
    "dim": "dim",
    "aug": "aug",
    "sus4": "sus4",
    "sus2": "sus2",
    "5": "5",
    "6": "maj6",
    "m6": "min6",
    "69": "maj6(9)",
    "m69": "min6(9)",
    "7": "7",
    "maj7": "maj7",
    "m7": "min7",
    "mMaj7": "minmaj7",
    "m7b5": "hdim7",
    "dim7": "dim7",
    "aug7": "aug(b7)",
    "maj7#5": "aug(7)",
    "7b5": "7(*5,b5)",
    "7sus4": "sus4(b7)",
    "9": "9",
    "maj9": "maj9",
    "m9": "min9",
    "mMaj9": "minmaj7(9)",
    "9sus4": "sus4(b7,9)",
    "11": "11",
    "maj11": "maj7(9,11)",
    "m11": "min11",
    "13": "7(9,13)",
    "maj13": "maj7(9,13)",
    "m13": "min13",
    "13sus4": "sus4(b7,9,13)",
    "add9": "maj(9)",
    "madd9": "min(9)",
    "add11": "maj(11)",
    "madd11": "min(11)",
    "sus2sus4": "sus4(9)",
    "7b9": "7(b9)",
    "7#9": "7(#9)",
    "7#11": "7(#11)",
    "7b13": "7(b13)",
    "7b5b9": "7(*5,b5,b9)",
    "7#5b9": "aug(b7,b9)",
    "7#5#9": "aug(b7,#9)",
    "7b9b13": "7(b9,b13)",
    "7sus4b9": "sus4(b7,b9)",
    "9b5": "9(*5,b5)",
    "9#5": "9(*5,#5)",
    "9#11": "9(#11)",
    "13b9": "7(b9,13)",
    "13#11": "9(#11,13)",
    "maj7#11": "maj7(#11)",
    "maj9#11": "maj9(#11)",
}
INVERSIONS = [("", "3", 4), ("m", "b3", 3), ("", "5", 7), ("7", "b7", 10), ("maj7", "7", 11)]


Encoded = Callable[[str], tuple[set[int], int]]


@pytest.fixture(scope="module")
def encoded(mir_eval: ModuleType) -> Encoded:
    """Absolute pitch classes and bass of a Harte label."""

    def of(label: str) -> tuple[set[int], int]:
        root, bitmap, bass = mir_eval.chord.encode(label, reduce_extended_chords=True)
        tones = {(int(root) + above) % 12 for above, bit in enumerate(bitmap) if bit}
        return tones, (int(root) + int(bass)) % 12

    return of


def test_every_quality_is_checked() -> None:
    assert set(HARTE) == {quality.name for quality in QUALITIES}


@pytest.mark.parametrize("symbol", HARTE)
def test_tones_are_those_that_mir_eval_encodes(encoded: Encoded, symbol: str) -> None:
    for root in ROOTS:
        tones, _ = encoded(f"{root}:{HARTE[symbol]}")
        assert parse_chord(root + symbol).tones == tones, root


@pytest.mark.parametrize(("symbol", "degree", "semitones"), INVERSIONS)
def test_the_bass_of_an_inversion_is_the_same_degree(
    encoded: Encoded, symbol: str, degree: str, semitones: int
) -> None:
    for root in ROOTS:
        tones, bass = encoded(f"{root}:{HARTE[symbol]}/{degree}")
        note = parse_chord(root).root.above(int(degree.lstrip("b")), semitones)
        if note is None:  # Spelt with a double accidental; its plain neighbours are checked.
            continue
        chord = parse_chord(f"{root}{symbol}/{note.text}")
        assert (chord.tones, chord.bass_pc) == (tones, bass)


@pytest.mark.parametrize(("symbol", "label"), [("13", "13"), ("maj13", "maj13")])
def test_major_thirteenths_leave_out_the_eleventh_that_mir_eval_keeps(
    encoded: Encoded, symbol: str, label: str
) -> None:
    tones, _ = encoded(f"C:{label}")
    assert parse_chord("C" + symbol).tones == tones - {5}
