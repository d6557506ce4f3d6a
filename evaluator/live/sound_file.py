"""How does a take become a file that other programs read too?

A Standard MIDI File of format 0, written with mido: the messages as they came, ticks as
plain time (960 a quarter note at 120 beats a minute), a marker where the piano was away.
"""

import io
from math import inf

from evaluator.live.journal import Entry, Journal, is_journal, read_journal
from evaluator.live.record import NOTE_OFF, NOTE_ON, TICKS, Record
from evaluator.take.gaps import mark

QUARTER_US = 500_000
"""Microseconds of a quarter note: 120 a minute."""


def to_midi(record: Record, *, title: str = "") -> bytes:
    """The file's bytes; `title` becomes the name of its track."""
    import mido

    events: list[tuple[int, mido.Message | mido.MetaMessage]] = [
        (tick, mido.Message.from_bytes(raw)) for tick, raw in record.events
    ]
    events += [
        (round(gap.start * TICKS), mido.MetaMessage("marker", text=mark(gap)))
        for gap in record.gaps
    ]
    events.sort(key=lambda event: event[0])
    track = mido.MidiTrack()
    # The names of a file are Latin-1 by mido's reading of the standard.
    name = title.encode("latin-1", errors="replace").decode("latin-1")
    track.append(mido.MetaMessage("track_name", name=name, time=0))
    track.append(mido.MetaMessage("set_tempo", tempo=QUARTER_US, time=0))
    before = 0
    for tick, message in events:
        message.time = tick - before
        track.append(message)
        before = tick
    track.append(mido.MetaMessage("end_of_track", time=0))
    file = mido.MidiFile(type=0, ticks_per_beat=TICKS // 2)
    file.tracks.append(track)
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def part(record: Record, start: float, end: float = inf) -> bytes:
    """The file of what was struck from a moment of the take on, to the end or another one.

    Of what came before only pedals that are down still, and voices, belong to it.
    """
    first = round(start * TICKS)
    piece = Record()
    for tick, raw in record.events:
        if tick >= end * TICKS:
            break
        if tick >= first or raw[0] >> 4 not in (NOTE_ON, NOTE_OFF):
            # So long a delta that the host's time counts.
            piece.take_in(Entry("message", tick / TICKS, delta=inf, raw=raw))
    if first > 0:
        piece.take_in(Entry("begin", first / TICKS))
    return to_midi(piece)


def recorded(journal: Journal) -> Record:
    """The take that a journal holds."""
    record = Record()
    for entry in journal.entries:
        record.take_in(entry)
    return record


def as_midi(raw: bytes) -> bytes:
    """A journal as the file that its take would have become; other bytes as they are."""
    return to_midi(recorded(read_journal(raw))) if is_journal(raw) else raw
