"""The same notes as mido 1.3 (which parses independently) reads, paired first in, first out."""

import io
from collections import defaultdict, deque

import mido
import numpy as np
import pytest

from evaluator.take.model import Take
from evaluator.take.sound_file import read_take
from tests.take.random_files import Habits, random_file

Note = tuple[float, float, int, int, int, int]


def notes_of(take: Take) -> list[Note]:
    columns = (take.onsets, take.offsets, take.pitches, take.velocities, take.channels, take.tracks)
    return sorted(zip(*(column.tolist() for column in columns), strict=True))


def mido_notes(raw: bytes) -> list[Note]:
    """Notes of every channel but the drums, timed with mido's own tempo arithmetic."""
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


def assert_same_notes(ours: list[Note], theirs: list[Note]) -> None:
    """Times to a microsecond, all else exactly."""

    def by_key(note: Note) -> tuple[float, ...]:
        return (*note[2:3], *note[4:], *note[:2], note[3])

    ours, theirs = sorted(ours, key=by_key), sorted(theirs, key=by_key)
    assert [note[2:] for note in ours] == [note[2:] for note in theirs]
    np.testing.assert_allclose([n[:2] for n in ours], [n[:2] for n in theirs], rtol=0, atol=1e-6)


@pytest.mark.parametrize("block", range(4))
def test_random_files_give_the_notes_that_mido_reads(block: int) -> None:
    habits = Habits(overlaps=True, marks_in_any_track=True)
    for seed in range(block * 50, block * 50 + 50):
        raw = random_file(seed, habits)
        theirs = mido_notes(raw)
        assert theirs, seed
        take = read_take(raw)
        assert take.repairs == ()
        assert_same_notes(notes_of(take), theirs)
