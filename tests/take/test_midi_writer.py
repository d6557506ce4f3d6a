"""Events in a Standard MIDI File, read back by mido."""

import io

import mido

from evaluator.take.midi_writer import (
    Event,
    marker,
    midi_file,
    note,
    tempo,
    time_signature,
    track_name,
)


def read(*events: Event) -> list[mido.Message]:
    file = mido.MidiFile(file=io.BytesIO(midi_file([events])))
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
    found = read(tempo(0, 0.625), time_signature(0, 6, 8), marker(480, "Bb"), marker(480, "[A]"))
    assert [m.type for m in found[:2]] == ["set_tempo", "time_signature"]
    assert found[0].tempo == 625_000
    assert (found[1].numerator, found[1].denominator) == (6, 8)
    assert [(m.text, m.time) for m in found[2:4]] == [("Bb", 480), ("[A]", 0)]


def test_the_slowest_tempo_that_fits_is_kept() -> None:
    assert read(tempo(0, 60.0))[0].tempo == 0xFFFFFF


def test_names_of_every_script_are_kept_and_what_is_no_text_is_replaced() -> None:
    raw = midi_file([[track_name("Küche \u4eac \udcff")]])
    (track,) = mido.MidiFile(file=io.BytesIO(raw), charset="utf-8").tracks
    assert track[0].name == "Küche \u4eac ?"
