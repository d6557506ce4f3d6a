"""Keys of the piano: scientific pitch notation (Acoustical Society of America, ANSI
S1.1; from memory): A4 is 440 Hz, C4 middle C; MIDI 1.0 numbers middle C 60."""

import pytest

from evaluator.theory.keyboard import OffTheKeyboardError, key_text, parse_pitch


@pytest.mark.parametrize(
    ("text", "key"),
    [("C4", 60), ("A4", 69), ("A0", 21), ("C8", 108), ("B3", 59), ("F#2", 42), ("B♭♭3", 57)],
)
def test_notes_are_keys(text, key):
    assert parse_pitch(text).key == key


def test_an_accidental_does_not_change_the_octave_of_its_note():
    assert parse_pitch("Cb4").key == parse_pitch("B3").key
    assert parse_pitch("B#3").key == parse_pitch("C4").key


@pytest.mark.parametrize("text", ["Ab0", "C#8", "C0", "D9"])
def test_a_note_beyond_the_keyboard_is_refused(text):
    with pytest.raises(OffTheKeyboardError, match="not on the piano"):
        parse_pitch(text)


@pytest.mark.parametrize("text", ["C", "4", "c4", "C44", "H4", "C###4", "", "C-1"])
def test_what_is_no_note_is_refused(text):
    with pytest.raises(ValueError, match="not a note with its octave"):
        parse_pitch(text)


def test_keys_are_named_as_the_key_spells():
    assert key_text(61, flats=False) == "C#4"
    assert key_text(61, flats=True) == "Db4"
    assert [parse_pitch(key_text(key, flats=True)).key for key in range(21, 109)] == [
        *range(21, 109)
    ]
