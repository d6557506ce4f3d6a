"""How does a take become a file that other programs read too?

A Standard MIDI File of format 0, written with mido: the messages as they came, ticks as
plain time (960 a quarter note at 120 beats a minute), a marker where the piano was away.
"""

from math import inf

from evaluator.live.journal import Entry, Journal, is_journal, read_journal
from evaluator.live.messages import NOTE_OFF, NOTE_ON
from evaluator.live.record import TICKS, Record
from evaluator.take.gaps import mark
from evaluator.take.midi_writer import Event, marker, midi_file, tempo, track_name

QUARTER = 0.5
"""Seconds of a quarter note: 120 a minute."""


def to_midi(record: Record, *, title: str = "") -> bytes:
    """The file's bytes; `title` becomes the name of its track."""
    import mido

    events = [Event(tick, 0, mido.Message.from_bytes(raw)) for tick, raw in record.events]
    events += [marker(round(gap.start * TICKS), mark(gap)) for gap in record.gaps]
    return midi_file(
        [[track_name(title), tempo(0, QUARTER), *events]], ticks=round(TICKS * QUARTER), kind=0
    )


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
