"""How does a take become a Standard MIDI File?

Written with mido. The clock runs at 120 beats a minute whatever was played, as in a
digital piano that records without a metronome: ticks are only time.
"""

import io
from collections.abc import Iterable
from typing import Literal

import mido

from tests.playing.performance import Note, PedalMove, Performance


def to_midi(
    performance: Performance, *, tracks: Literal["one", "hands"] = "one", ppq: int = 480
) -> bytes:
    """The take as a Standard MIDI File, its clock at 120 beats a minute whatever was played.

    `hands` puts the right hand on the second and the left on the third track, as some
    pianos record them; `one` puts all on one.
    """
    file = mido.MidiFile(ticks_per_beat=ppq, type=0 if tracks == "one" else 1)
    if tracks == "one":
        file.tracks.append(_track(performance.notes, performance.pedal, ppq, clock=True))
    else:
        file.tracks.append(_track((), (), ppq, clock=True))
        for hand, pedal in (("right", performance.pedal), ("left", ())):
            notes = [note for note in performance.notes if note.hand == hand]
            file.tracks.append(_track(notes, pedal, ppq, clock=False))
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def _track(
    notes: Iterable[Note], pedal: Iterable[PedalMove], ppq: int, *, clock: bool
) -> mido.MidiTrack:
    """Note-offs stand before pedal and note-ons of the same tick, so a key can be struck again."""
    second = 2 * ppq
    events: list[tuple[int, int, mido.Message]] = []
    for note in notes:
        on, off = round(note.onset * second), round(note.offset * second)
        key = {"note": note.pitch, "channel": 0}
        events.append((on, 2, mido.Message("note_on", velocity=note.velocity, **key)))
        events.append((max(off, on + 1), 0, mido.Message("note_off", velocity=64, **key)))
    for move in pedal:
        message = mido.Message("control_change", control=64, value=move.value, channel=0)
        events.append((round(move.at * second), 1, message))
    events.sort(key=lambda event: event[:2])
    track = mido.MidiTrack()
    if clock:
        track.append(mido.MetaMessage("set_tempo", tempo=500_000, time=0))
    before = 0
    for tick, _, message in events:
        message.time = tick - before
        track.append(message)
        before = tick
    track.append(mido.MetaMessage("end_of_track", time=0))
    return track
