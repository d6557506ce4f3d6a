"""Names for what was played. Common practice, no source, but for the equal sets, which
follow from the tones (C6 = Am7, Csus2 = Gsus4, aug and dim7 repeat themselves)."""

import pytest

from evaluator.theory.naming import name_chord
from evaluator.theory.pitch import parse_note
from evaluator.theory.qualities import QUALITIES, Quality
from evaluator.theory.symbol import parse_chord

ROOTS = ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")


def name(
    notes: str, bass: str | None = None, *, flats: bool = False, near: str | None = None
) -> str | None:
    return name_chord(
        frozenset(parse_note(note).pc for note in notes.split()),
        None if bass is None else parse_note(bass).pc,
        flats=flats,
        near=None if near is None else parse_chord(near),
    )


@pytest.mark.parametrize(
    ("notes", "bass", "called"),
    [
        ("B D F#", "B", "Bm"),
        ("C# E A", "C#", "A/C#"),
        ("E A", "C#", "A/C#"),
        ("G C D", "G", "Gsus4"),
        ("D A", "D", "D5"),
        ("D A", "A", "D5/A"),
        ("C E G", "D", "C/D"),
        ("C D E G", "D", "C/D"),
        ("C D E G", "C", "Cadd9"),
        ("F A C", "G", "F/G"),
        ("C E G B", "B", "Cmaj7/B"),
        ("C F G Bb D", "C", "C9sus4"),
        ("G B D F#", "A", "Gmaj7/A"),
        ("C E G Bb C#", "C", "C7b9"),
    ],
)
def test_what_a_musician_would_call_it(notes: str, bass: str, called: str) -> None:
    assert name(notes, bass) == called


@pytest.mark.parametrize(
    ("notes", "called"),
    [("C E Bb", "C7"), ("C E B", "Cmaj7"), ("C Eb Bb", "Cm7"), ("C E D", "Cadd9")],
)
def test_a_missing_fifth_changes_no_name(notes: str, called: str) -> None:
    assert name(notes, "C") == called


def test_a_triad_is_not_called_a_sixth_chord_without_fifth() -> None:
    assert name("C E A", "C") == "Am/C"


@pytest.mark.parametrize(
    ("notes", "bass", "called"),
    [
        ("C E G A", "C", "C6"),
        ("C E G A", "A", "Am7"),
        ("C Eb G A", "C", "Cm6"),
        ("C Eb G A", "A", "Am7b5"),
        ("C D G", "C", "Csus2"),
        ("C D G", "G", "Gsus4"),
        ("C E G#", "E", "Eaug"),
        ("C D# F# A", "F#", "F#dim7"),
    ],
)
def test_the_bass_decides_between_equal_sets(notes: str, bass: str, called: str) -> None:
    assert name(notes, bass) == called


@pytest.mark.parametrize(
    ("notes", "bass", "near", "called"),
    [
        ("C E G A", "E", "C", "C6/E"),
        ("C E G A", "E", "Am7", "Am7/E"),
        ("C E G A", None, "C", "C6"),
        ("C E G A", None, "Am", "Am7"),
        ("C D G", "D", "C", "Csus2/D"),
        ("C E G#", None, "G#", "G#aug"),
        ("C E G A", "C", "Am7", "C6"),
    ],
)
def test_after_the_bass_the_expected_chord_decides(
    notes: str, bass: str | None, near: str, called: str
) -> None:
    assert name(notes, bass, near=near) == called


def test_names_are_spelt_as_the_key_spells() -> None:
    assert name("Bb D F", "Bb", flats=True) == "Bb"
    assert name("Bb D F", "Bb", flats=False) == "A#"
    assert name("Bb D F", "Bb", flats=False, near="Bb7") == "Bb"


def test_the_third_in_the_bass_takes_its_letter_in_every_key() -> None:
    assert name("D F# A", "F#", flats=True) == "D/F#"
    assert name("G Bb D", "Bb", flats=False) == "Gm/Bb"


def test_single_notes_and_pairs_are_called_by_their_notes() -> None:
    assert name("D") == "D"
    assert name("D", "D") == "D"
    assert name("D F#", "D") == "D and F#"
    assert name("D F#", "F#") == "F# and D"
    assert name("", "G") == "G"
    assert name("") is None


def test_what_makes_no_chord_is_a_list_of_notes_from_the_bass_upward() -> None:
    assert name("C C# D", "C#") == "C#, D and C"
    assert name("D F# G# A", "D") == "D, F#, G# and A"


def test_a_chord_that_no_table_lists_is_recognised_where_it_is_expected() -> None:
    rare = parse_chord("C7b9#11")
    assert name_chord(rare.tones, rare.root.pc, flats=False, near=rare) == "C7b9#11"


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name or "major")
def test_every_chord_on_its_root_gets_its_own_name_back(quality: Quality) -> None:
    for root in ROOTS:
        chord = parse_chord(root + quality.name)
        named = name_chord(chord.tones, chord.root.pc, flats="b" in root)
        assert named == chord.name


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name or "major")
def test_every_inversion_is_named_as_the_same_set(quality: Quality) -> None:
    for root in ROOTS:
        chord = parse_chord(root + quality.name)
        for bass in (*chord.tones, None):
            named = parse_chord(name_chord(chord.tones, bass, flats=False, near=chord) or "")
            slash = set() if named.bass is None else {named.bass.pc}
            assert named.tones | slash == chord.tones
            assert bass in (None, named.bass_pc)
