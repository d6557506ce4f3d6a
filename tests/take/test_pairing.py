"""Strokes and their ends (first in, first out: common practice; MIDI 1.0 leaves it open)."""

from evaluator.take.events import SILENCE, Track
from evaluator.take.pairing import HeldNotes, hold_notes, pedal_spans


def held(*moves: tuple[int, int, int], last: int = 100) -> list[tuple[int, int, int]]:
    """(key, start, end) of the notes of a track."""
    notes = HeldNotes()
    hold_notes(Track(0, notes=list(moves)), last, notes)
    return list(zip(notes.keys, notes.starts, notes.ends, strict=True))


def pedal(*moves: tuple[int, int], last: int = 100) -> list[tuple[int, int]]:
    return pedal_spans([Track(0, pedal=[(tick, 0, value) for tick, value in moves])], last)


def test_each_key_ends_its_own_note() -> None:
    assert held((0, 60, 9), (1, 64, 9), (5, 60, 0), (7, 64, 0)) == [(60, 0, 5), (64, 1, 7)]


def test_of_two_strokes_of_one_key_the_first_is_let_go_first() -> None:
    assert held((0, 60, 9), (5, 60, 9), (8, 60, 0), (9, 60, 0)) == [(60, 0, 8), (60, 5, 9)]


def test_a_lost_release_lengthens_one_note_only() -> None:
    moves = [(0, 60, 9), (10, 60, 9), (15, 60, 0), (20, 60, 9), (25, 60, 0)]
    assert held(*moves) == [(60, 0, 10), (60, 10, 15), (60, 20, 25)]


def test_a_lost_last_release_lasts_to_the_end() -> None:
    assert held((0, 60, 9), (5, 60, 0), (10, 60, 9)) == [(60, 0, 5), (60, 10, 100)]


def test_a_key_struck_again_at_the_tick_of_its_release_is_two_notes() -> None:
    moves = [(0, 60, 9), (10, 60, 0), (10, 60, 9), (20, 60, 0), (30, 60, 9)]
    assert held(*moves) == [(60, 0, 10), (60, 10, 20), (60, 30, 100)]


def test_notes_without_an_end_are_counted() -> None:
    notes = HeldNotes()
    hold_notes(Track(0, notes=[(0, 60, 9), (1, 60, 9), (2, 62, 9), (3, 62, 0)]), 9, notes)
    assert notes.unended == 2


def test_a_second_track_is_added_behind_the_first_and_paired_for_itself() -> None:
    notes = HeldNotes()
    hold_notes(Track(0, notes=[(0, 60, 9), (4, 60, 0)]), 9, notes)
    second = 1 << 11 | 60
    hold_notes(Track(1, notes=[(1, second, 9), (3, second, 9), (5, second, 0)]), 9, notes)
    assert list(zip(notes.starts, notes.ends, strict=True)) == [(0, 4), (1, 3), (3, 5)]


def test_a_release_without_a_stroke_is_nothing() -> None:
    assert held((0, 60, 0), (1, 60, 9), (2, 60, 0), (3, 60, 0)) == [(60, 1, 2)]


def test_silence_ends_all_notes_of_its_channel_only() -> None:
    other = 1 << 7 | 60
    moves = [(0, 60, 9), (0, 64, 9), (1, other, 9), (5, 0, SILENCE), (8, other, 0)]
    assert held(*moves) == [(60, 0, 5), (64, 0, 5), (other, 1, 8)]


def test_silence_also_ends_notes_of_a_key_with_a_lost_release() -> None:
    assert held((0, 60, 9), (4, 0, SILENCE), (6, 60, 9)) == [(60, 0, 4), (60, 6, 100)]


def test_the_pedal_is_down_from_64_on() -> None:
    # MIDI 1.0, controller 64: 63 and below is off, 64 and above is on.
    assert pedal((0, 63), (10, 64), (20, 0)) == [(10, 20)]


def test_a_pedal_trembling_about_64_is_one_span() -> None:
    assert pedal((0, 80), (5, 62), (6, 66), (7, 56), (9, 55), (10, 0)) == [(0, 9)]


def test_a_pedal_held_to_the_end_is_down_to_the_end() -> None:
    assert pedal((10, 127), last=50) == [(10, 50)]


def test_pedals_of_two_channels_are_told_apart() -> None:
    track = Track(0, pedal=[(0, 0, 127), (2, 1, 127), (5, 0, 0), (8, 1, 0)])
    assert pedal_spans([track], 10) == [(0, 5), (2, 8)]


def test_pedal_moves_of_several_tracks_are_taken_in_time_order() -> None:
    tracks = [Track(0, pedal=[(10, 0, 0)]), Track(1, pedal=[(0, 0, 127)])]
    assert pedal_spans(tracks, 20) == [(0, 10)]
