"""What belongs to the take of all that came from the piano?

Messages get their times, and the take begins with the first note: whatever the piano
sends before it (its heartbeat, its settings) is no playing. While the piano is away the
keys that were down are let go, and the gap is kept. The same record grows while somebody
plays and is made again from a journal, so that both give the same file.

Units: ticks of the file to be, 1920 a second; seconds of the host's clock.
"""

import struct
from bisect import bisect_left
from typing import NamedTuple

from evaluator.live.clock import Stamper
from evaluator.live.journal import Entry
from evaluator.live.messages import CONTROLLER, NOTE_OFF, NOTE_ON, PROGRAM, strikes
from evaluator.take.events import (
    ALL_NOTES_OFF,
    ALL_SOUND_OFF,
    CHANNEL_BYTES,
    DRUMS,
    PEDAL,
    RESET_CONTROLLERS,
    SILENCE,
    Track,
)
from evaluator.take.gaps import Gap
from evaluator.take.model import Take, make_take
from evaluator.take.pairing import HeldNotes, hold_notes, pedal_spans

TICKS = 1920
"""A second: 960 a quarter note at 120 beats a minute. Half a millisecond is finer than
any piano's clock."""

PACKED = struct.Struct("<IB3s")
"""Tick, length and bytes of a message."""


def is_played(raw: bytes) -> bool:
    """Whether a channel message strikes a key, and not a drum."""
    return strikes(raw) and raw[0] & 0x0F != DRUMS


class Stamped(NamedTuple):
    """A message of the take."""

    tick: int
    raw: bytes


class Record:
    """One take, growing."""

    def __init__(self) -> None:
        self._packed = bytearray()
        """Every channel message since the first note, as `PACKED`: an hour has thousands."""
        self.gaps: list[Gap] = []
        """Seconds of the take."""
        self.sounding: set[int] = set()
        """Keys that are down, channel << 7 | pitch."""
        self._stamper = Stamper()
        self._start: float | None = None
        self._last = 0.0
        """Time of the last sign of the piano, host seconds."""
        self._connected = False
        self._pedal: dict[int, bytes] = {}
        """The last pedal message of each channel, by its status byte."""
        self._programs: dict[int, bytes] = {}
        """The voice that each channel was given before the first note, by its status byte: it
        tells an accompaniment from the piano."""

    @property
    def events(self) -> list[Stamped]:
        """Every channel message since the first note."""
        return [
            Stamped(tick, raw[:length]) for tick, length, raw in PACKED.iter_unpack(self._packed)
        ]

    def played_since(self, since: float) -> list[tuple[float, bytes]]:
        """(onset, message) of every key struck from some second of the take on, in order."""
        struck = [(tick / TICKS, raw) for tick, raw in self.events if is_played(raw)]
        return [(onset, raw) for onset, raw in struck if onset >= since]

    def track(self, since: float = 0.0) -> Track:
        """The same as the reader of files would have it, from some second of the take on."""
        track = Track(0)
        count = len(self._packed) // PACKED.size
        first = bisect_left(range(count), round(since * TICKS), key=self._tick)
        for tick, length, raw in PACKED.iter_unpack(self._packed[first * PACKED.size :]):
            _write(track, tick, raw[:length])
        return track

    def _tick(self, number: int) -> int:
        tick: int = PACKED.unpack_from(self._packed, number * PACKED.size)[0]
        return tick

    @property
    def begun(self) -> bool:
        """Whether a note was played."""
        return self._start is not None

    def seconds(self, host: float) -> float:
        """A time of the host's clock as seconds of the take; 0 before the first note."""
        return 0.0 if self._start is None else max(host - self._start, 0.0)

    def take_in(self, entry: Entry) -> Stamped | None:
        """One entry of the journal; what it added to the take, if it is a message of it."""
        if entry.kind == "message":
            return self._message(entry)
        if entry.kind == "open":
            self._opened(entry.host)
        elif entry.kind == "gone":
            self._let_go()
        elif entry.kind == "begin":
            self._begin_anew(entry.host)
        return None

    def _message(self, entry: Entry) -> Stamped | None:
        time = self._stamper.stamp(entry.delta, entry.host)
        self._last = max(self._last, time)
        raw = entry.raw
        if not is_channel_message(raw):
            return None
        if self._start is None:
            self._keep_for_the_beginning(raw)
            if not strikes(raw):
                return None
            self._begin(time)
        return self._add(round(self.seconds(time) * TICKS), raw)

    def _keep_for_the_beginning(self, raw: bytes) -> None:
        """Pedal and voices hold on from before the first note."""
        if raw[0] >> 4 == CONTROLLER and raw[1] == PEDAL:
            self._pedal[raw[0]] = raw
        elif raw[0] >> 4 == PROGRAM:
            self._programs[raw[0]] = raw

    def _begin(self, time: float) -> None:
        self._start = time
        for raw in (*self._programs.values(), *self._pedal.values()):
            self._add(0, raw)

    def _add(self, tick: int, raw: bytes) -> Stamped:
        self._packed += PACKED.pack(tick, len(raw), raw)
        kind, key = raw[0] >> 4, (raw[0] & 0x0F) << 7 | raw[1]
        if strikes(raw):
            self.sounding.add(key)
        elif kind in (NOTE_ON, NOTE_OFF):
            self.sounding.discard(key)
        elif kind == CONTROLLER and raw[1] == PEDAL:
            self._pedal[raw[0]] = raw
        return Stamped(tick, raw)

    def _opened(self, host: float) -> None:
        """The piano is there, for the first time or again."""
        if self._connected:
            self._let_go()
            if self._start is not None:
                self.gaps.append(Gap(self.seconds(self._last), self.seconds(host)))
        self._connected = True
        self._stamper.begin_anew()
        self._last = max(self._last, host)

    def _let_go(self) -> None:
        """Nobody knows when the keys and pedals that were down came up: at the last sign."""
        if self._start is None:
            return
        tick = round(self.seconds(self._last) * TICKS)
        for key in sorted(self.sounding):
            self._add(tick, bytes((NOTE_OFF << 4 | key >> 7, key & 0x7F, 64)))
        for status, raw in sorted(self._pedal.items()):
            if raw[2]:
                self._add(tick, bytes((status, PEDAL, 0)))

    def _begin_anew(self, host: float) -> None:
        """Leave out what came before a moment: the note that asked to be counted in."""
        kept = [] if self._start is None else [
            (self._start + tick / TICKS, raw) for tick, raw in self.events
        ]  # fmt: skip
        self._packed.clear()
        self.gaps = []
        self.sounding.clear()
        self._start = None
        for time, raw in kept:
            if time < host:
                self._keep_for_the_beginning(raw)
            elif self._start is not None or strikes(raw):
                if self._start is None:
                    self._begin(time)
                self._add(round(self.seconds(time) * TICKS), raw)

    def take(self, host: float, since: float = 0.0) -> Take:
        """The take up to now, as reading its file would give it; keys still down last on.

        `since`: seconds of the take before which notes are left out.
        """
        track = self.track(since)
        last = max(round(self.seconds(host) * TICKS), track.ticks)
        held = HeldNotes()
        hold_notes(track, last, held)
        spans = [(start / TICKS, end / TICKS) for start, end in pedal_spans([track], last)]
        return make_take(
            [tick / TICKS for tick in held.starts],
            [tick / TICKS for tick in held.ends],
            [key & 0x7F for key in held.keys],
            held.velocities,
            channels=[key >> 7 for key in held.keys],
            pedal=spans,
        )


def is_channel_message(raw: bytes) -> bool:
    """Whether this is one whole message about a key, a pedal or a setting of a channel."""
    if not raw or not 0x80 <= raw[0] < 0xF0:
        return False
    return len(raw) == 1 + CHANNEL_BYTES[raw[0] >> 4] and max(raw[1:]) < 0x80


def _write(track: Track, tick: int, raw: bytes) -> None:
    """Enter a message into the track as `take.events` would on reading it from a file."""
    track.ticks = tick
    kind, channel = raw[0] >> 4, raw[0] & 0x0F
    if channel == DRUMS:
        return
    if kind in (NOTE_OFF, NOTE_ON):
        track.notes.append((tick, channel << 7 | raw[1], raw[2] if kind == NOTE_ON else 0))
    elif kind == CONTROLLER and raw[1] == PEDAL:
        track.pedal.append((tick, channel, raw[2]))
    elif kind == CONTROLLER and raw[1] == RESET_CONTROLLERS:
        track.pedal.append((tick, channel, 0))
    elif kind == CONTROLLER and raw[1] in (ALL_SOUND_OFF, ALL_NOTES_OFF):
        track.notes.append((tick, channel << 7, SILENCE))
