"""From the bytes of a MIDI file to a take. Damage and other readers: `tests/against/`."""

import pytest

from evaluator.errors import TakeError
from evaluator.take.midi_file import (
    Limits,
    read_players_take,
    read_take,
)
from tests.take.build import control, header, midi, off, on, program, tempo


def test_tracks_and_channels_are_one_take() -> None:
    take = read_take(
        midi(
            tempo(0, 600_000),
            on(96, 62, 70) + off(96, 62),
            on(0, 38, 50, channel=1) + off(192, 38, channel=1),
        )
    )
    assert take.pitches.tolist() == [38, 62]
    assert take.onsets.tolist() == [0.0, pytest.approx(0.6)]
    assert take.offsets.tolist() == pytest.approx([1.2, 1.2])
    assert take.tracks.tolist() == [2, 1]
    assert take.channels.tolist() == [1, 0]


def test_a_tempo_in_any_track_counts_for_all() -> None:
    take = read_take(midi(on(96, 60) + off(96, 60), tempo(0, 1_000_000)))
    assert take.onsets.tolist() == [1.0]


def test_one_key_in_two_tracks_is_held_in_each_for_itself() -> None:
    take = read_take(midi(on(0, 60) + off(96, 60), on(48, 60) + off(96, 60)))
    assert sorted(take.offsets - take.onsets) == [0.5, 0.5]


def test_pedal_spans_are_in_seconds() -> None:
    take = read_take(
        midi(control(96, 64, 127) + on(0, 60) + off(96, 60) + control(96, 64, 0) + tempo(0, 9))
    )
    assert take.pedal.tolist() == [[0.5, 1.5]]


def test_drums_beside_other_notes_are_left_out_without_a_word() -> None:
    take = read_take(midi(on(0, 60) + on(0, 36, channel=9) + off(9, 60)))
    assert take.pitches.tolist() == [60]
    assert take.repairs == ()


def test_limits_are_those_that_were_asked_for() -> None:
    raw = midi(b"".join(on(0, pitch) + off(96, pitch) for pitch in (60, 62, 64)))
    assert len(read_take(raw, limits=Limits(notes=3))) == 3
    with pytest.raises(TakeError, match="holds 3 notes, more than the 2"):
        read_take(raw, limits=Limits(notes=2))
    with pytest.raises(TakeError, match=r"lasts 0\.0 hours"):
        read_take(raw, limits=Limits(hours=0.0001))
    with pytest.raises(TakeError, match="a take of a song has less than"):
        read_take(raw, limits=Limits(megabytes=0.00001))


def test_what_is_wrong_with_a_file_without_notes_is_part_of_the_refusal() -> None:
    with pytest.raises(TakeError, match=r"breaks off at byte 24.*Copy it from the piano again"):
        read_take(header(1) + b"MTrk\0\0\0\x40\0\x90")


def test_an_accompaniment_is_left_out_of_the_players_take_with_its_pedal() -> None:
    piano = program(0, 0) + b"".join(
        on(0, 40) + on(0, 60) + off(90, 40) + off(0, 60) for _ in range(8)
    )
    bass = program(0, 33, channel=1) + control(0, 64, 127, channel=1)
    bass += b"".join(on(10, 45, channel=1) + off(80, 45, channel=1) for _ in range(8))
    take = read_players_take(midi(piano, bass))
    assert set(take.channels.tolist()) == {0}
    assert take.pedal.tolist() == []
    assert [repair.kind for repair in take.repairs] == ["channels"]
    assert len(read_take(midi(piano, bass))) == 24
    assert set(read_players_take(midi(piano, bass), channel=1).channels.tolist()) == {1}
