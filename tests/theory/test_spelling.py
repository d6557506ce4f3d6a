"""Ways to write one quality. Common practice of lead sheets, no source."""

import pytest

from evaluator.theory.qualities import SPELLINGS
from evaluator.theory.symbol import parse_chord


@pytest.mark.parametrize(
    ("spellings", "quality"),
    [
        ("C Cmaj CM CMaj", ""),
        ("Cm Cmin C- CMI C−", "m"),
        ("Cmaj7 CM7 CΔ CΔ7 C△7 CMaj7 Cma7 CMA7", "maj7"),
        ("Cm7 Cmin7 C-7 CMI7 Cmi7 C−7", "m7"),
        ("Cm6 C-6 Cmin6", "m6"),
        ("C69 C6/9 C6(9) Cmaj6/9", "69"),
        ("C9 C7(9)", "9"),
        ("Cmaj9 CM9 CΔ9 Cmaj7(9)", "maj9"),
        ("C13 C7(9,13) C9(13)", "13"),
        ("Csus4 Csus C(sus4)", "sus4"),
        ("C7sus4 C7sus Cm7sus4 C7(sus4)", "7sus4"),
        ("C9sus4 C9sus C7sus4(9)", "9sus4"),
        ("Cdim C° Co Cº Cmb5 Cm(b5)", "dim"),
        ("Cdim7 C°7 Co7", "dim7"),
        ("Cm7b5 Cø Cø7 CØ7 C-7b5 Cm7(b5) Cm7-5 Cmin7(♭5)", "m7b5"),
        ("Caug C+ C(#5)", "aug"),
        ("Caug7 C+7 C7+ C7#5 C7(#5) C7+5", "aug7"),
        ("CmMaj7 Cm(maj7) CmM7 CmΔ C-Δ7 C-maj7 Cminmaj7", "mMaj7"),
        ("Cadd9 C(add9) Cadd2 C(9)", "add9"),
        ("Cmadd9 Cm(add9) Cm(9)", "madd9"),
        ("C5 C(no3) Cno3 C(omit3)", "5"),
        ("C(b5) C-5 C(♭5)", "(b5)"),
        ("C7b9 C7(b9) C7-9 C7(♭9)", "7b9"),
        ("C7#9 C7(#9) C7+9", "7#9"),
        ("C7#5#9 C7(#5#9) C7(#9,#5) C7(#5)(#9) C+7#9", "7#5#9"),
        ("C7sus4b9 C7b9sus4 C7sus(b9)", "7sus4b9"),
        ("C7b9#11 C7(#11b9) C7(b9)(#11)", "7b9#11"),
        ("Cadd9add11 Cadd11add9 C(9,11)", "add9add11"),
    ],
)
def test_several_spellings_are_one_chord(spellings: str, quality: str) -> None:
    chords = [parse_chord(text) for text in spellings.split()]
    assert [chord.quality for chord in chords] == [quality] * len(chords)
    assert len(set(chords)) == 1


def test_alterations_in_brackets_may_be_set_apart() -> None:
    assert parse_chord("C7(#11 b9)") == parse_chord("C7(b9, #11)") == parse_chord("C7b9#11")


@pytest.mark.parametrize(
    "root",
    ["C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B"],
)
def test_every_spelling_on_every_root_with_plain_and_printed_signs(root: str) -> None:
    for spelling, quality in SPELLINGS.items():
        text = root + spelling
        printed = text.replace("#", "♯").replace("b", "♭")
        for chord in (parse_chord(text), parse_chord(printed), parse_chord(text + "/F#")):
            assert (chord.root.text, chord.quality) == (root, quality.name)
