"""Events of one track (Standard MIDI Files 1.0 and the MIDI 1.0 channel messages)."""

import pytest

from evaluator.take.events import SILENCE, Track, read_track
from evaluator.take.repairs import RepairLog
from tests.take.build import control, end, meta, number, off, on, tempo


def read(body: bytes, track: int = 0) -> tuple[Track, list[str]]:
    log = RepairLog()
    return read_track(body, 0, len(body), track, log), [repair.kind for repair in log.repairs()]


def test_a_note_on_of_velocity_0_lets_go() -> None:
    track, _ = read(on(0, 60, 80) + on(5, 60, 0))
    assert track.notes == [(0, 60, 80), (5, 60, 0)]


def test_a_release_velocity_is_no_loudness() -> None:
    assert read(off(3, 60, 99))[0].notes == [(3, 60, 0)]


def test_the_key_tells_track_channel_and_pitch() -> None:
    ((_, key, _),) = read(on(0, 60, channel=5), track=3)[0].notes
    assert (key >> 11, key >> 7 & 15, key & 127) == (3, 5, 60)


def test_running_status_goes_on_after_channel_messages_only() -> None:
    track, kinds = read(on(0, 60) + b"\x05\x40\x41" + b"\x00\xc0\x07" + b"\x00\x08" + on(1, 62))
    assert track.notes == [(0, 60, 64), (5, 64, 65), (6, 62, 64)]
    assert kinds == []


def test_what_a_channel_message_holds_is_counted_by_its_kind() -> None:
    # Program change and channel pressure have one data byte, the others two.
    others = b"\0\xa0\1\2" + b"\0\xc0\1" + b"\0\xd0\1" + b"\0\xe0\1\2" + control(0, 7, 100)
    assert read(others + on(1, 60))[0].notes == [(1, 60, 64)]


def test_drums_are_counted_and_left_out() -> None:
    drums = on(0, 36, channel=9) + on(9, 36, 0, channel=9) + control(0, 64, 127, channel=9)
    track, kinds = read(drums + on(0, 60))
    assert (track.drums, track.notes, track.pedal, kinds) == (1, [(9, 60, 64)], [], [])


@pytest.mark.parametrize("controller", [120, 123])
def test_all_off_silences_the_channel(controller: int) -> None:
    assert read(control(4, controller, 0, channel=2))[0].notes == [(4, 2 << 7, SILENCE)]


def test_resetting_the_controllers_lifts_the_pedal() -> None:
    track, _ = read(control(0, 64, 127) + control(9, 121, 0))
    assert track.pedal == [(0, 0, 127), (9, 0, 0)]


def test_tempo_is_microseconds_per_quarter() -> None:
    assert read(tempo(7, 468_750))[0].tempos == [(7, 468_750)]


def test_the_end_mark_ends_the_track_with_its_delta_time() -> None:
    track, _ = read(on(0, 60) + end(50) + on(0, 61))
    assert (track.fate, track.ticks, len(track.notes)) == ("ended", 50, 1)
    assert track.stop == len(on(0, 60) + end(50))


@pytest.mark.parametrize(
    ("body", "fate"),
    [
        (on(0, 60), "open"),
        (on(0, 60)[:-1], "torn"),
        (on(0, 60) + b"\x81", "torn"),
        (on(0, 60) + b"\0\xff\x03\x09ab", "torn"),
        (on(0, 60) + b"\x81\x80\x80\x80\x00", "unreadable"),
        (on(0, 60) + b"\0\xff\x03\xff\xff\xff\xff", "unreadable"),
    ],
)
def test_how_a_track_stops_is_told(body: bytes, fate: str) -> None:
    assert read(body)[0].fate == fate


def test_an_event_that_reaches_into_the_next_chunk_is_left_out() -> None:
    log = RepairLog()
    track = read_track(on(0, 60) + on(0, 62)[:-1] + b"MTrk", 0, 7, 0, log)
    assert (track.fate, len(track.notes), track.stop) == ("torn", 1, 4)


def test_long_delta_times_are_put_together_from_seven_bits_each() -> None:
    assert read(number(0x0FFFFFFF) + on(0, 60)[1:])[0].notes == [(0x0FFFFFFF, 60, 64)]


def test_data_before_any_status_are_left_out_up_to_the_next_status() -> None:
    track, kinds = read(b"\0\x3c\x40" + on(0, 62)[1:])
    assert track.notes == [(0, 62, 64)]
    assert kinds == ["no-status"]


def test_meta_events_of_any_kind_are_stepped_over() -> None:
    track, kinds = read(meta(3, 0x59, b"\x08\xff\0\0") + meta(0, 0x60) + on(0, 60))
    assert track.notes == [(3, 60, 64)]
    assert kinds == []
