"""Which keys and pedals does one track of a MIDI file move, and when?

Standard MIDI Files 1.0: a track is a row of events, each a variable-length delta time and a
MIDI, system exclusive or meta event. Only notes, the sustain pedal, the "all off"
controllers and the tempo matter for a take; all else is stepped over. What is damaged is
noted and left out, and the rest is read on where the bytes still allow it: a key number
above 127 is dropped and never bent into another key.
"""

from dataclasses import dataclass, field
from typing import Literal

from evaluator.take.repairs import RepairLog
from evaluator.take.tempo_map import TempoMark

SILENCE = -1
"""Stands in the place of a velocity: every sounding key of the channel is let go."""

DRUMS = 9
"""Channel 10 of the General MIDI standard, counted from 0."""

PEDAL = 64
ALL_SOUND_OFF, RESET_CONTROLLERS, ALL_NOTES_OFF = 120, 121, 123

# Data bytes after a status byte 0x80..0xEF, by its upper half (MIDI 1.0, table of channel
# messages), and after 0xF1..0xFE, which belong on a cable and not in a file.
CHANNEL_BYTES = {8: 2, 9: 2, 10: 2, 11: 2, 12: 1, 13: 1, 14: 2}
SYSTEM_BYTES = {0xF1: 1, 0xF2: 2, 0xF3: 1}

SYSEX, SYSEX_MORE, META = 0xF0, 0xF7, 0xFF
META_END, META_TEMPO = 0x2F, 0x51


@dataclass(slots=True)
class Track:
    """What one track holds. Ticks count from the start of the track."""

    number: int
    notes: list[tuple[int, int, int]] = field(default_factory=list)
    """(tick, key, velocity) in file order: velocity 0 lets go, `SILENCE` lets all go; the
    key is one number for all three: track << 11 | channel << 7 | pitch."""
    pedal: list[tuple[int, int, int]] = field(default_factory=list)
    """(tick, channel, value of controller 64)."""
    tempos: list[TempoMark] = field(default_factory=list)
    programs: list[tuple[int, int, int]] = field(default_factory=list)
    """(tick, channel, program)."""
    drums: int = 0
    """Notes struck on the drum channel, which are not the player's keys."""
    ticks: int = 0
    """Where the track ends."""
    stop: int = 0
    """Byte of the file after the last whole event."""
    fate: Literal["open", "ended", "torn", "unreadable"] = "open"
    """How it stopped: between two events, at an end mark, inside an event, or at a number
    that runs on without an end."""


class _UnreadableError(Exception):
    """A number in the track runs on without an end."""


def read_track(raw: bytes, start: int, end: int, number: int, log: RepairLog) -> Track:
    """Events in the bytes from `start` up to `end` or to the end mark, whichever is first."""
    track = Track(number, stop=start)
    try:
        _Reader(raw, end, track, log).run(start)
    except IndexError:
        track.fate = "torn"
    except _UnreadableError:
        track.fate = "unreadable"
    return track


class _Reader:
    """Steps through the events of one track. Reading past its end raises IndexError."""

    __slots__ = ("cancelled", "end", "first_key", "log", "raw", "running", "track")

    def __init__(self, raw: bytes, end: int, track: Track, log: RepairLog) -> None:
        self.raw, self.end, self.track, self.log = raw, end, track, log
        self.first_key = track.number << 11
        self.running = 0
        self.cancelled = False

    def run(self, pos: int) -> None:
        raw, end, track = self.raw, self.end, self.track
        tick = 0
        while pos < end:
            delta = raw[pos]
            pos += 1
            if delta > 0x7F:
                delta, pos = self._number(pos - 1)
            tick += delta
            status = raw[pos]
            if status > 0x7F:
                pos += 1
            else:
                status, pos = self._implied(pos)
            if status < 0xF0:
                self.running, self.cancelled = status, False
                pos = self._channel_message(tick, status, pos)
            else:
                pos = self._other_message(tick, status, pos)
            track.ticks, track.stop = tick, pos
            if track.fate == "ended":
                return

    def _number(self, pos: int) -> tuple[int, int]:
        """A variable-length number of at most four bytes, and where it ends."""
        value = 0
        for _ in range(4):
            byte = self.raw[pos]
            pos += 1
            value = value << 7 | byte & 0x7F
            if byte < 0x80:
                return value, pos
        raise _UnreadableError

    def _implied(self, pos: int) -> tuple[int, int]:
        """Status of an event that begins with a data byte, and where its data begin."""
        if self.running:
            if self.cancelled:
                self.log.add("running-status", pos)
            return self.running, pos
        self.log.add("no-status", pos)
        while self.raw[pos] < 0x80:
            pos += 1
            if pos == self.end:
                raise IndexError
        return self.raw[pos], pos + 1

    def _channel_message(self, tick: int, status: int, pos: int) -> int:
        """Take in one channel message whose data begin at `pos`; return where they end."""
        raw, kind = self.raw, status >> 4
        first = raw[pos]
        after = pos + CHANNEL_BYTES[kind]
        second = raw[after - 1]
        if after > self.end:
            raise IndexError
        channel = status & 0x0F
        if kind <= 9:
            if first > 0x7F:
                self.log.add("bad-value", pos)
            elif channel == DRUMS:
                self.track.drums += kind == 9 and second > 0
            else:
                if second > 0x7F:
                    if kind == 9:
                        self.log.add("loudness", pos + 1)
                    second = 0x7F
                key = self.first_key | channel << 7 | first
                self.track.notes.append((tick, key, second if kind == 9 else 0))
        elif kind == 11:
            self._controller(tick, channel, pos)
        elif kind == 12 and first <= 0x7F and channel != DRUMS:
            self.track.programs.append((tick, channel, first))
        return after

    def _controller(self, tick: int, channel: int, pos: int) -> None:
        controller, value = self.raw[pos], self.raw[pos + 1]
        if controller > 0x7F or value > 0x7F:
            self.log.add("bad-value", pos)
        elif channel == DRUMS:
            return
        elif controller == PEDAL:
            self.track.pedal.append((tick, channel, value))
        elif controller == RESET_CONTROLLERS:
            self.track.pedal.append((tick, channel, 0))
        elif controller in (ALL_SOUND_OFF, ALL_NOTES_OFF):
            self.track.notes.append((tick, self.first_key | channel << 7, SILENCE))

    def _other_message(self, tick: int, status: int, pos: int) -> int:
        """Step over a system or meta event whose status was just read; keep tempo and end."""
        if status not in (SYSEX, SYSEX_MORE, META):
            self.log.add("stray", pos - 1)
            return pos + SYSTEM_BYTES.get(status, 0)
        self.cancelled = True
        kind = self.raw[pos] if status == META else -1
        length, body = self._number(pos + (status == META))
        if kind == META_END:
            self.track.fate = "ended"
            return min(body + length, self.end)
        after = body + length
        if after > self.end:
            raise IndexError
        if kind == META_TEMPO:
            tempo = int.from_bytes(self.raw[body:after], "big")
            if length == 3 and tempo > 0:
                self.track.tempos.append(TempoMark(tick, tempo))
            else:
                self.log.add("tempo", body)
        return after
