"""How do timed events become the bytes of a Standard MIDI File?

Format 1 after "Standard MIDI Files 1.0" (MIDI Manufacturers Association): a header, then
tracks of events, each with its distance from the one before as a number of seven-bit
groups. Channels count from 0. At one tick marks come first, then the keys that are let go,
then those that are struck.
"""

import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

TICKS: Final = 480
"""Ticks of a quarter note."""
MARKER, TRACK_NAME, TEMPO, TIME_SIGNATURE, END = 0x06, 0x03, 0x51, 0x58, 0x2F
LONGEST_TEMPO: Final = 0xFFFFFF
"""Microseconds of a quarter note that fit the file: a beat of 16 seconds."""


@dataclass(frozen=True, slots=True, order=True)
class Event:
    """One event at a tick of its track."""

    tick: int
    rank: int
    """Order among the events of a tick."""
    message: bytes


def sound_file(tracks: Sequence[Iterable[Event]]) -> bytes:
    """The file; tracks need not be sorted, and get their end marks here."""
    header = struct.pack(">4sIHHH", b"MThd", 6, 1, len(tracks), TICKS)
    return header + b"".join(_track(sorted(events)) for events in tracks)


def note(start: int, end: int, *, key: int, velocity: int, channel: int) -> tuple[Event, Event]:
    """A key struck and let go."""
    on = bytes((0x90 | channel, key, velocity))
    off = bytes((0x80 | channel, key, 64))
    return Event(start, 3, on), Event(max(end, start + 1), 2, off)


def text(tick: int, kind: int, words: str, *, rank: int = 0) -> Event:
    """A track's name or a marker; one of rank 1 stands after the others of its tick."""
    return Event(tick, rank, _meta(kind, words.encode("utf-8", errors="replace")))


def tempo(tick: int, seconds_per_quarter: float) -> Event:
    """The speed from here on."""
    micros = min(max(1, round(1_000_000 * seconds_per_quarter)), LONGEST_TEMPO)
    return Event(tick, 0, _meta(TEMPO, micros.to_bytes(3, "big")))


def time_signature(tick: int, beats: int, unit: int) -> Event:
    """The meter from here on; a click on every beat of the meter."""
    power = unit.bit_length() - 1
    return Event(tick, 0, _meta(TIME_SIGNATURE, bytes((beats, power, 96 // unit, 8))))


def _track(events: Iterable[Event]) -> bytes:
    body = bytearray()
    at = 0
    for event in events:
        body += _number(event.tick - at) + event.message
        at = event.tick
    body += _number(0) + _meta(END, b"")
    return struct.pack(">4sI", b"MTrk", len(body)) + bytes(body)


def _meta(kind: int, content: bytes) -> bytes:
    return bytes((0xFF, kind)) + _number(len(content)) + content


def _number(value: int) -> bytes:
    """A variable-length number, the highest seven bits first."""
    groups = [value & 0x7F]
    while value := value >> 7:
        groups.append(value & 0x7F | 0x80)
    return bytes(reversed(groups))
