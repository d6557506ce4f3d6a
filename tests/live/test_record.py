"""What belongs to the take of all that came from the piano? Messages after the "MIDI 1.0
Detailed Specification" (MIDI Manufacturers Association); the rest is common practice."""

import pytest

from evaluator.live.journal import Entry
from evaluator.live.record import Record, is_channel_message
from evaluator.live.sound_file import to_midi
from evaluator.take.gaps import gaps_in
from evaluator.take.midi_file import read_take
from tests.live.script import START, gone, in_order, message, opened, stroke


def record(*entries: Entry) -> Record:
    found = Record()
    for entry in entries:
        found.take_in(entry)
    return found


def test_the_take_begins_with_the_first_note() -> None:
    found = record(opened(), message(0.1, 0xC0, 5), message(0.2, 0xFE), *stroke(3.0, 60))
    take = found.take(START + 4)
    assert take.onsets.tolist() == [0.0]
    assert take.offsets.tolist() == [pytest.approx(0.2, abs=0.001)]


def test_a_pedal_that_was_down_before_the_first_note_is_down_at_its_beginning() -> None:
    found = record(opened(), message(0.5, 0xB0, 64, 127), *stroke(2.0, 60))
    assert found.take(START + 3).pedal[0][0] == 0.0


def test_a_voice_chosen_before_the_first_note_stands_in_the_file() -> None:
    bass = [message(0.3, 0xC1, 33), message(0.4, 0xC1, 38)]
    found = record(opened(), *bass, *stroke(2.0, 60), message(2.1, 0x91, 36, 60))
    assert found.events[0] == (0, bytes((0xC1, 38)))


def test_heartbeats_and_clocks_are_no_part_of_the_take() -> None:
    beats = [message(1.0 + 0.3 * n, 0xFE) for n in range(20)]
    clock = [message(1.0 + 0.02 * n, 0xF8) for n in range(200)]
    found = record(opened(), *in_order(*stroke(1.0, 60), *beats, *clock))
    assert len(found.events) == 2


def test_only_whole_messages_count() -> None:
    """RtMidi passes on what it is sent, be it a fragment or out of range."""
    assert is_channel_message(bytes((0x90, 60, 64)))
    assert is_channel_message(bytes((0xD0, 60)))
    for odd in ((), (60,), (0x90,), (0x90, 60), (0x90, 60, 200), (0x90, 200, 60), (0xF0, 1, 2)):
        assert not is_channel_message(bytes(odd))


def test_the_live_take_is_that_of_its_file() -> None:
    notes = [entry for n in range(40) for entry in stroke(1 + 0.137 * n, 48 + n, 30 + n)]
    pedal = [message(1.5 + n, 0xB0, 64, 127 * (n % 2)) for n in range(6)]
    drums = [message(1.2, 0x99, 76, 100), message(1.3, 0x89, 76, 0)]
    found = record(opened(), *in_order(*notes, *pedal, *drums))
    live, filed = found.take(START), read_take(to_midi(found))
    for name in ("onsets", "offsets", "pitches", "velocities", "channels"):
        assert getattr(live, name).tolist() == pytest.approx(
            getattr(filed, name).tolist(), abs=1e-9
        )
    assert live.pedal.tolist() == [pytest.approx(span, abs=1e-9) for span in filed.pedal.tolist()]
    assert filed.repairs == ()


def test_a_cable_that_comes_out_ends_the_notes_and_leaves_a_gap() -> None:
    found = record(
        opened(),
        message(1.0, 0x90, 60, 64),
        message(1.1, 0xB0, 64, 127),
        gone(3.0),
        opened(9.0),
        *stroke(10.0, 62),
    )
    raw = to_midi(found)
    (gap,) = gaps_in(raw)
    assert (gap.start, gap.end) == (pytest.approx(0.1, abs=0.001), pytest.approx(8.0, abs=0.001))
    take = read_take(raw)
    assert take.offsets[0] == pytest.approx(0.1, abs=0.001)
    assert take.pedal.tolist() == [[pytest.approx(0.1, abs=0.001)] * 2]
    assert take.repairs == ()


def test_a_recorder_that_crashed_leaves_a_gap_as_well() -> None:
    """It could not say that the piano was gone."""
    found = record(opened(), *stroke(1.0, 60), opened(4.0), *stroke(5.0, 62))
    (gap,) = found.gaps
    assert (gap.start, gap.end) == (pytest.approx(0.2), pytest.approx(3.0))


def test_the_first_delta_after_a_gap_means_nothing() -> None:
    found = record(
        opened(), *stroke(1.0, 60), gone(2.0), opened(4.0), message(5.0, 0x90, 62, 64, delta=0.0)
    )
    assert found.take(START + 6).onsets.tolist() == [0.0, pytest.approx(4.0)]


def test_a_gap_before_the_first_note_is_none() -> None:
    assert record(opened(), gone(1.0), opened(2.0), *stroke(3.0, 60)).gaps == []


def test_what_was_played_to_ask_for_the_count_is_left_out() -> None:
    found = record(
        opened(),
        *stroke(1.0, 40),
        message(4.0, 0xB0, 64, 127),
        message(5.05, 0x90, 60, 64),
        Entry("begin", START + 5.0),
        message(5.3, 0x80, 60, 64),
        *stroke(6.0, 62),
    )
    take = found.take(START + 8)
    assert take.pitches.tolist() == [60, 62]
    assert take.onsets.tolist() == [0.0, pytest.approx(0.95, abs=0.001)]
    assert take.pedal[0][0] == 0.0


def test_nothing_played_is_nothing_begun() -> None:
    found = record(opened(), message(1.0, 0xFE), gone(2.0))
    assert not found.begun
    assert len(found.take(START + 3)) == 0
