"""What do other readers of MIDI files make of the same file?

mido 1.3 and pretty_midi 0.2 parse independently of us. `notes_of_mido` pairs what mido reads
first in, first out, and times it with mido's own arithmetic of tempo; `notes_of_pretty_midi`
takes that library's notes as they are.

    python -m tests.against.readers --count 1000

compares as many invented files, each with both (pretty_midi reads some things otherwise on
purpose, see `SIMPLE`), note for note: key, loudness, onset and end to a microsecond, and with
mido also track and channel. Files that differ go to the standard output.
"""

import argparse
import io
import sys
import warnings
from collections import defaultdict, deque

import mido
import numpy as np

from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from tests.take.random_files import Habits, random_file

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pretty_midi

Note = tuple[float, ...]

FREE = Habits(overlaps=True, marks_in_any_track=True)
SIMPLE = Habits(overlaps=False, marks_in_any_track=False)
"""Left out: two strokes of one key at once (pretty_midi ends both at the first release), notes
without length, tempo outside the first track."""


def notes_of(take: Take) -> list[Note]:
    """Onset, end, key, loudness, channel and track of each note."""
    columns = (take.onsets, take.offsets, take.pitches, take.velocities, take.channels, take.tracks)
    return sorted(zip(*(column.tolist() for column in columns), strict=True))


def notes_of_mido(raw: bytes) -> list[Note]:
    """The same of every channel but the drums."""
    song = mido.MidiFile(file=io.BytesIO(raw))
    tempos: list[tuple[int, int]] = []
    found: list[tuple[int, int, int, int, int, int]] = []
    for number, track in enumerate(song.tracks):
        tick = 0
        sounding: dict[tuple[int, int], deque[tuple[int, int]]] = defaultdict(deque)
        for message in track:
            tick += message.time
            if message.type == "set_tempo":
                tempos.append((tick, message.tempo))
            elif message.type == "note_on" and message.velocity and message.channel != 9:
                sounding[message.channel, message.note].append((tick, message.velocity))
            elif message.type in ("note_on", "note_off"):
                waiting = sounding[message.channel, message.note]
                if waiting:
                    start, velocity = waiting.popleft()
                    found.append((start, tick, message.note, velocity, message.channel, number))
    tempos.sort(key=lambda change: change[0])

    def seconds(tick: int) -> float:
        time, at, tempo = 0.0, 0, 500_000
        for change, following in tempos:
            if change > tick:
                break
            time += mido.tick2second(change - at, song.ticks_per_beat, tempo)
            at, tempo = change, following
        return time + float(mido.tick2second(tick - at, song.ticks_per_beat, tempo))

    return sorted((seconds(start), seconds(stop), *rest) for start, stop, *rest in found)


def notes_of_pretty_midi(raw: bytes) -> list[Note]:
    """Onset, end, key and loudness of each note of every instrument but the drums."""
    song = pretty_midi.PrettyMIDI(io.BytesIO(raw))
    return sorted(
        (note.start, note.end, note.pitch, note.velocity)
        for instrument in song.instruments
        if not instrument.is_drum
        for note in instrument.notes
    )


def same_notes(ours: list[Note], theirs: list[Note]) -> bool:
    """Times to a microsecond, all else exactly; not without any note."""

    def by_key(note: Note) -> tuple[float, ...]:
        return (*note[2:3], *note[4:], *note[:2], note[3])

    ours, theirs = sorted(ours, key=by_key), sorted(theirs, key=by_key)
    return (
        bool(theirs)
        and [note[2:] for note in ours] == [note[2:] for note in theirs]
        and np.allclose([n[:2] for n in ours], [n[:2] for n in theirs], rtol=0, atol=1e-6)
    )


def same_as_mido(seed: int) -> bool:
    """Whether an invented file gives the notes that mido reads, and needs no repair."""
    raw = random_file(seed, FREE)
    take = read_take(raw)
    return not take.repairs and same_notes(notes_of(take), notes_of_mido(raw))


def same_as_pretty_midi(seed: int) -> bool:
    """Whether an invented file gives the notes that pretty_midi reads."""
    raw = random_file(seed, SIMPLE)
    ours = [note[:4] for note in notes_of(read_take(raw))]
    return same_notes(ours, notes_of_pretty_midi(raw))


def main() -> None:
    """Compare as many files as the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    seeds = range(parser.parse_args().count)
    differ = 0
    for name, same in (("mido", same_as_mido), ("pretty_midi", same_as_pretty_midi)):
        different = [seed for seed in seeds if not same(seed)]
        differ += len(different)
        sys.stdout.write(f"{name}: {len(seeds) - len(different)} of {len(seeds)} files alike")
        sys.stdout.write(f"; not {different}\n" if different else "\n")
    sys.exit(bool(differ))


if __name__ == "__main__":
    main()
