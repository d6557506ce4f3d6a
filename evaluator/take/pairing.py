"""Which key was held from when to when, and where was the pedal down?

The MIDI 1.0 specification lets a note end with a note-off or with a note-on of velocity 0
and does not say which of two strokes of one key a note-off ends: here the first one, as is
usual. A key of which some stroke was never let go is taken apart instead: each stroke lasts
to its next letting go or next stroke, so that one lost message lengthens one note only.

Pedal: MIDI 1.0 gives controller 64 as up below 64 and down from 64 on. Continuous pedals
send many values on the way; one that trembles about 64 would count as many changes, so it
is up again only at 55 or less (our choice, no source).
"""

from collections import deque
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from operator import itemgetter

from evaluator.take.events import SILENCE, Track

PEDAL_DOWN = 64
PEDAL_UP = 55


@dataclass(slots=True)
class HeldNotes:
    """Notes in the order of their strokes, as columns: ticks, and keys as in `Track.notes`."""

    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    keys: list[int] = field(default_factory=list)
    velocities: list[int] = field(default_factory=list)
    unended: int = 0
    """Notes that nothing ended,"""
    down: list[int] = field(default_factory=list)
    """and ticks of the strokes of those keys that were still down when the recording stopped."""


def hold_notes(track: Track, last: int, into: HeldNotes) -> None:
    """Pair the strokes of a track with their ends; what is never let go lasts to tick `last`."""
    sounding: dict[int, deque[int]] = {}
    of_channel: dict[int, list[int]] = {}
    ends_of: dict[int, int] = {}
    """The last stroke of any key before each key was last let go."""
    before = len(into.starts)
    starts, ends = into.starts, into.ends
    for tick, key, velocity in track.notes:
        if velocity > 0:
            if key not in sounding:
                sounding[key] = deque()
                of_channel.setdefault(key >> 7, []).append(key)
            sounding[key].append(len(starts))
            starts.append(tick)
            ends.append(last)
            into.keys.append(key)
            into.velocities.append(velocity)
        elif velocity == 0:
            if sounding.get(key):
                ends[sounding[key].popleft()] = tick
                ends_of[key] = len(starts) - 1
        else:
            for silenced in of_channel.pop(key >> 7, ()):
                for note in sounding.pop(silenced):
                    ends[note] = tick
    broken = {key: len(notes) for key, notes in sounding.items() if notes}
    if broken:
        into.unended += sum(broken.values())
        for key, count in broken.items():
            # A letting go after the last stroke shows that an earlier one was lost.
            if count == 1 and ends_of.get(key, -1) < sounding[key][0]:
                into.down.append(starts[sounding[key][0]])
        _end_at_next_stroke(track, frozenset(broken), before, into)


def _end_at_next_stroke(track: Track, broken: frozenset[int], before: int, into: HeldNotes) -> None:
    """End every note of the broken keys at the first end or stroke that follows it."""
    sounding: dict[int, int] = {}
    of_channel: dict[int, set[int]] = {}
    note = before
    for tick, key, velocity in track.notes:
        ending: Collection[int] = of_channel.pop(key >> 7, ()) if velocity == SILENCE else (key,)
        for other in ending:
            if other in sounding:
                into.ends[sounding.pop(other)] = tick
        if velocity > 0:
            if key in broken:
                sounding[key] = note
                of_channel.setdefault(key >> 7, set()).add(key)
            note += 1


def pedal_spans(
    tracks: Sequence[Track], last: int, *, without: Collection[int] = ()
) -> list[tuple[int, int]]:
    """Ticks between which the pedal of any channel is down; one still down lasts to `last`.

    `without` are channels that are not the player's.
    """
    down_since: dict[int, int] = {}
    spans: list[tuple[int, int]] = []
    moves = [move for track in tracks for move in track.pedal if move[1] not in without]
    moves.sort(key=itemgetter(0))
    for tick, channel, value in moves:
        if value >= PEDAL_DOWN:
            down_since.setdefault(channel, tick)
        elif value <= PEDAL_UP and channel in down_since:
            spans.append((down_since.pop(channel), tick))
    spans.extend((since, last) for since in down_since.values())
    return spans
