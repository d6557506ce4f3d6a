"""Bytes of a Standard MIDI File, against the specification's own examples and mido."""

import io

import mido
import pytest

from evaluator.practise.sound_file import (
    MARKER,
    Event,
    _number,
    note,
    sound_file,
    tempo,
    text,
    time_signature,
)


# The table of variable-length quantities in Standard MIDI Files 1.0.
@pytest.mark.parametrize(
    ("value", "written"),
    [
        (0x00, "00"),
        (0x40, "40"),
        (0x7F, "7F"),
        (0x80, "8100"),
        (0x2000, "C000"),
        (0x3FFF, "FF7F"),
        (0x4000, "818000"),
        (0x1FFFFF, "FFFF7F"),
        (0x200000, "81808000"),
        (0x0FFFFFFF, "FFFFFF7F"),
    ],
)
def test_numbers_are_written_as_in_the_table_of_the_standard(value: int, written: str) -> None:
    assert _number(value).hex().upper() == written


def read(*events: Event) -> list[mido.Message]:
    file = mido.MidiFile(file=io.BytesIO(sound_file([events])))
    assert (file.type, file.ticks_per_beat) == (1, 480)
    return list(file.tracks[0])


def test_a_key_is_let_go_before_it_is_struck_again() -> None:
    again = note(100, 200, key=60, velocity=70, channel=0)
    first = note(0, 100, key=60, velocity=70, channel=0)
    kinds = [(m.type, m.time) for m in read(*again, *first)]
    assert kinds == [
        ("note_on", 0),
        ("note_off", 100),
        ("note_on", 0),
        ("note_off", 100),
        ("end_of_track", 0),
    ]


def test_marks_are_read_back() -> None:
    found = read(
        tempo(0, 0.625), time_signature(0, 6, 8), text(480, MARKER, "Bb"), text(480, MARKER, "[A]")
    )
    assert [m.type for m in found[:2]] == ["set_tempo", "time_signature"]
    assert found[0].tempo == 625_000
    assert (found[1].numerator, found[1].denominator) == (6, 8)
    assert [(m.text, m.time) for m in found[2:4]] == [("Bb", 480), ("[A]", 0)]


def test_the_slowest_tempo_that_fits_is_kept() -> None:
    assert read(tempo(0, 60.0))[0].tempo == 0xFFFFFF
