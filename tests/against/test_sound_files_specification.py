"""The examples printed in "Standard MIDI Files 1.0" (MIDI Manufacturers Association).

Pages are those of the specification: variable-length quantities p. 2, the two worked files
(one piece in format 0 and in format 1) in the appendix pp. 12-14, ticks to time p. 14.
"""

import pytest

from evaluator.take.midi_file import read_take
from evaluator.take.tempo_map import TempoMark, seconds_at
from tests.take.build import midi, off, on

FORMAT_0 = bytes.fromhex(
    "4D546864 00000006 0000 0001 0060"
    "4D54726B 0000003B"
    "00 FF58 04 04021808   00 FF51 03 07A120"
    "00 C005   00 C12E   00 C246"
    "00 923060   00 3C60   60 914340   60 904C20"
    "8140 823040   00 3C40   00 814340   00 804C40   00 FF2F00"
)
FORMAT_1 = bytes.fromhex(
    "4D546864 00000006 0001 0004 0060"
    "4D54726B 00000014   00 FF58 04 04021808   00 FF51 03 07A120   8300 FF2F00"
    "4D54726B 00000010   00 C005   8140 904C20   8140 4C00   00 FF2F00"
    "4D54726B 0000000F   00 C12E   60 914340   8220 4300   00 FF2F00"
    "4D54726B 00000015   00 C246   00 923060   00 3C60   8300 3000   00 3C00   00 FF2F00"
)
# (onset in quarters, MIDI key, velocity, channel): C3 and C4 forte, G4 mezzo-forte, E5 piano,
# all held to the end of the one 4/4 bar at 120 a minute.
PRINTED = [(0, 48, 96, 2), (0, 60, 96, 2), (1, 67, 64, 1), (2, 76, 32, 0)]

VARIABLE_LENGTH = {
    0x00000000: "00",
    0x00000040: "40",
    0x0000007F: "7F",
    0x00000080: "8100",
    0x00002000: "C000",
    0x00003FFF: "FF7F",
    0x00004000: "818000",
    0x00100000: "C08000",
    0x001FFFFF: "FFFF7F",
    0x00200000: "81808000",
    0x08000000: "C0808000",
    0x0FFFFFFF: "FFFFFF7F",
}


@pytest.mark.parametrize("raw", [FORMAT_0, FORMAT_1], ids=["format 0", "format 1"])
def test_the_worked_example_gives_the_printed_notes(raw: bytes) -> None:
    take = read_take(raw)
    assert [
        (onset * 2, pitch, velocity, channel)
        for onset, pitch, velocity, channel in zip(
            take.onsets, take.pitches, take.velocities, take.channels, strict=True
        )
    ] == PRINTED
    assert take.offsets.tolist() == [2.0] * 4
    assert take.repairs == ()


def test_the_parts_of_the_format_1_example_keep_their_tracks() -> None:
    assert read_take(FORMAT_1).tracks.tolist() == [3, 3, 2, 1]


@pytest.mark.parametrize(("ticks", "written"), VARIABLE_LENGTH.items())
def test_delta_times_are_the_printed_variable_length_quantities(ticks: int, written: str) -> None:
    late_note = bytes.fromhex(written) + on(0, 60)[1:] + off(0, 60)
    # At 32,767 ticks a quarter even the longest delta is 4,096 seconds.
    take = read_take(midi(late_note, division=0x7FFF))
    assert take.onsets[0] == pytest.approx(ticks * 0.5 / 0x7FFF)


def test_ticks_become_milliseconds_as_in_the_printed_example() -> None:
    assert seconds_at([6144], 96, [TempoMark(0, 500_000)]).tolist() == [32.0]


@pytest.mark.parametrize(
    ("microseconds", "per_minute"),
    [("07A120", 120), ("0F4240", 60), ("0A2C2B", 90), ("07270E", 128), ("068A1B", 140)],
)
def test_tempo_events_are_microseconds_per_quarter(microseconds: str, per_minute: int) -> None:
    raw = midi(bytes.fromhex("00FF5103" + microseconds) + on(96, 60) + off(96, 60))
    assert read_take(raw).onsets[0] == pytest.approx(60 / per_minute, rel=1e-6)


def test_division_e728_is_a_millisecond_a_tick() -> None:
    raw = midi(on(1234 // 2, 60) + off(1234 // 2, 60), division=0xE728)
    take = read_take(raw)
    assert (take.onsets[0], take.offsets[0]) == (0.617, 1.234)
