"""Chunks of a MIDI file (Standard MIDI Files 1.0, "Chunks")."""

import pytest

from evaluator.errors import TakeError
from evaluator.take.chunks import (
    MOST_TRACKS,
    find_header,
    plain_bytes,
    read_header,
    read_tracks,
    unwrapped,
)
from evaluator.take.repairs import RepairLog
from tests.take.build import chunk, end, header, midi, off, on


def kinds(log: RepairLog) -> list[str]:
    return [repair.kind for repair in log.repairs()]


def test_the_header_holds_format_tracks_and_division() -> None:
    head = read_header(header(3, form=1, division=480) + chunk(b"MTrk", b""), 0, RepairLog())
    assert (head.format, head.tracks, head.division, head.end) == (1, 3, 480, 14)


def test_a_longer_header_is_stepped_over() -> None:
    log = RepairLog()
    assert read_header(header(1, extra=b"abcd") + chunk(b"MTrk", b""), 0, log).end == 18
    assert kinds(log) == []


def test_a_header_without_its_end_is_refused() -> None:
    with pytest.raises(TakeError, match="inside its header, after 13 bytes"):
        read_header(header(1)[:13], 0, RepairLog())


@pytest.mark.parametrize(
    ("raw", "at"),
    [(b"MThd\0\0\0\6", 0), (b"..MThd", 2), (b"MTxd\0\0\0\6", 0), (b"MTxd....", None), (b"", None)],
)
def test_the_header_is_found(raw: bytes, at: int | None) -> None:
    assert find_header(raw) == at


def test_tracks_stop_where_the_next_begins_even_if_their_length_is_0() -> None:
    log = RepairLog()
    raw = 2 * chunk(b"MTrk", on(0, 60) + off(9, 60) + end(), 0)
    tracks = read_tracks(raw, 0, log)
    assert [len(track.notes) for track in tracks] == [2, 2]
    assert [track.number for track in tracks] == [0, 1]
    assert [repair.say for repair in log.repairs()] == [
        "2 tracks have a wrong length, first at byte 4; they were read by their content."
    ]


def test_a_text_that_spells_a_track_mark_is_no_track_if_the_length_is_right() -> None:
    body = b"\0\xff\x01\x04MTrk" + on(0, 60) + end()
    assert len(read_tracks(chunk(b"MTrk", body), 0, RepairLog())) == 1


def test_more_tracks_than_any_take_has_are_refused() -> None:
    with pytest.raises(TakeError, match="more than 1000 tracks"):
        read_tracks(chunk(b"MTrk", end()) * (MOST_TRACKS + 1), 0, RepairLog())


def test_a_riff_file_is_cut_to_its_data() -> None:
    song = midi(on(0, 60) + off(9, 60))
    data = b"data" + len(song).to_bytes(4, "little") + song
    before = b"RIFF\0\0\0\0RMID" + b"DISP\3\0\0\0abc\0"
    assert unwrapped(before + data + b"LIST....") == before + data
    assert unwrapped(song) == song


def test_line_ends_are_mended_only_where_the_lengths_show_it() -> None:
    sound = midi(on(0, 10) + off(13, 10) + on(13, 10, 13))
    for raw, mended in ((sound, sound), (sound.replace(b"\n", b"\r\n"), sound)):
        assert plain_bytes(raw, RepairLog()) == mended
    # Here a return stands before the line end by chance: velocity 13, then delta time 10.
    chance = midi(on(0, 60, 13) + off(10, 60))
    assert plain_bytes(chance, RepairLog()) == chance
