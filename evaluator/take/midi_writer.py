"""How do timed messages become the bytes of a Standard MIDI File?

mido writes them. Channels count from 0, text is UTF-8. At one tick events come by their rank,
then as they were given.
"""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:
    import mido

TICKS: Final = 480
"""Ticks of a quarter note."""
LONGEST_TEMPO: Final = 0xFFFFFF
"""Microseconds of a quarter note that fit the file: a beat of 16 seconds."""


@dataclass(frozen=True, slots=True)
class Event:
    """One message at a tick of its track."""

    tick: int
    rank: int
    """Order among the events of a tick."""
    message: "mido.Message | mido.MetaMessage"


def midi_file(
    tracks: Sequence[Iterable[Event]], *, ticks: int = TICKS, kind: Literal[0, 1] = 1
) -> bytes:
    """The file; tracks need not be sorted, and get their end marks here. `kind` is its format,
    `ticks` are those of a quarter note."""
    import mido

    file = mido.MidiFile(type=kind, ticks_per_beat=ticks, charset="utf-8")
    for events in tracks:
        track, at = mido.MidiTrack(), 0
        for event in sorted(events, key=lambda one: (one.tick, one.rank)):
            track.append(event.message.copy(time=event.tick - at))
            at = event.tick
        file.tracks.append(track)
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def note(start: int, end: int, *, key: int, velocity: int, channel: int) -> tuple[Event, Event]:
    """A key struck and let go; what is let go at a tick comes before what is struck."""
    import mido

    on = mido.Message("note_on", note=key, velocity=velocity, channel=channel)
    off = mido.Message("note_off", note=key, velocity=64, channel=channel)
    return Event(start, 3, on), Event(max(end, start + 1), 2, off)


def track_name(name: str) -> Event:
    """What a track is called."""
    import mido

    return Event(0, 0, mido.MetaMessage("track_name", name=_sayable(name)))


def marker(tick: int, text: str, *, rank: int = 0) -> Event:
    """A word at a place; one of rank 1 stands after the others of its tick."""
    import mido

    return Event(tick, rank, mido.MetaMessage("marker", text=_sayable(text)))


def tempo(tick: int, seconds_per_quarter: float) -> Event:
    """The speed from here on."""
    import mido

    micros = min(max(1, round(1_000_000 * seconds_per_quarter)), LONGEST_TEMPO)
    return Event(tick, 0, mido.MetaMessage("set_tempo", tempo=micros))


def time_signature(tick: int, beats: int, unit: int) -> Event:
    """The meter from here on; a click on every beat of the meter."""
    import mido

    meter = {"numerator": beats, "denominator": unit, "clocks_per_click": 96 // unit}
    return Event(tick, 0, mido.MetaMessage("time_signature", **meter))


def _sayable(text: str) -> str:
    """Without what no encoding has: halves of signs from names that are no text."""
    return text.encode("utf-8", errors="replace").decode("utf-8")
