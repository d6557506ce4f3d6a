"""Note names and keys. Spellings and signatures: common practice, no source."""

import pytest

from evaluator.theory.pitch import Key, NoteName, note_text, parse_key, parse_note


@pytest.mark.parametrize(
    ("text", "pc"),
    [
        ("C", 0),
        ("B", 11),
        ("F#", 6),
        ("Bb", 10),
        ("B♭", 10),
        ("F♯", 6),
        ("Cb", 11),
        ("B#", 0),
        ("Ebb", 2),
        ("F##", 7),
    ],
)
def test_a_note_name_has_a_pitch_class(text: str, pc: int) -> None:
    assert parse_note(text).pc == pc


@pytest.mark.parametrize("text", ["C", "F#", "Bb", "Ebb", "F##"])
def test_a_note_is_written_as_it_was_read(text: str) -> None:
    assert parse_note(text).text == text


@pytest.mark.parametrize("text", ["", "H", "c", "C#b", "Cbbb", "C ", "#", "Cx"])
def test_anything_else_is_no_note(text: str) -> None:
    with pytest.raises(ValueError, match="not a note name"):
        parse_note(text)


def test_a_note_letter_is_a_to_g() -> None:
    with pytest.raises(ValueError, match="A to G"):
        NoteName("H")
    with pytest.raises(ValueError, match="two sharps or flats"):
        NoteName("C", 3)


def test_c_sharp_and_d_flat_are_one_key_of_the_piano_and_two_names() -> None:
    assert parse_note("C#").pc == parse_note("Db").pc
    assert parse_note("C#") != parse_note("Db")


def test_black_keys_are_named_with_sharps_or_flats() -> None:
    assert [note_text(pc, flats=False) for pc in (1, 3, 6, 8, 10)] == ["C#", "D#", "F#", "G#", "A#"]
    assert [note_text(pc, flats=True) for pc in (1, 3, 6, 8, 10)] == ["Db", "Eb", "Gb", "Ab", "Bb"]


def test_every_usual_name_reads_back() -> None:
    for flats in (False, True):
        assert [parse_note(note_text(pc, flats=flats)).pc for pc in range(12)] == list(range(12))


@pytest.mark.parametrize(
    ("root", "degree", "semitones", "note"),
    [
        ("D", 3, 4, "F#"),
        ("D", 3, 3, "F"),
        ("Ab", 5, 7, "Eb"),
        ("C", 7, 10, "Bb"),
        ("F#", 9, 14, "G#"),
    ],
)
def test_a_chord_tone_takes_the_letter_of_its_degree(
    root: str, degree: int, semitones: int, note: str
) -> None:
    assert parse_note(root).above(degree, semitones) == parse_note(note)


def test_a_tone_that_would_need_a_double_accidental_has_no_plain_spelling() -> None:
    assert parse_note("Cb").above(7, 9) is None


@pytest.mark.parametrize(
    ("text", "fifths"),
    [
        ("C major", 0),
        ("D major", 2),
        ("F major", -1),
        ("Gb major", -6),
        ("F# major", 6),
        ("A minor", 0),
        ("E minor", 1),
        ("C minor", -3),
        ("D minor", -1),
        ("F# minor", 3),
        ("B♭ major", -2),
        ("Em", 1),
        ("G", 1),
    ],
)
def test_a_key_has_a_signature(text: str, fifths: int) -> None:
    assert parse_key(text).fifths == fifths


def test_keys_left_of_c_major_spell_with_flats() -> None:
    assert [
        name
        for name in ["C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Db"]
        if parse_key(name).flats
    ] == (["F", "Bb", "Eb", "Ab", "Db"])
    assert Key(NoteName("D"), "minor").flats
    assert not Key(NoteName("E"), "minor").flats


@pytest.mark.parametrize("text", ["", "H major", "D dorian", "D major minor", "d major"])
def test_anything_else_is_no_key(text: str) -> None:
    with pytest.raises(ValueError, match="not a key"):
        parse_key(text)
