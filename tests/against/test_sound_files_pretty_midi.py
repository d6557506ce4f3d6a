"""The same notes as pretty_midi 0.2 reads, note for note.

Left out are what it reads otherwise on purpose: two strokes of one key at once (it ends both
at the first release), notes without length, tempo outside the first track.
"""

import io
import warnings

import numpy as np
import pytest

from evaluator.take.sound_file import read_take
from tests.take.random_files import Habits, random_file

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pretty_midi


@pytest.mark.parametrize("block", range(4))
def test_random_files_give_the_notes_that_pretty_midi_reads(block: int) -> None:
    for seed in range(1000 + block * 50, 1050 + block * 50):
        raw = random_file(seed, Habits(overlaps=False, marks_in_any_track=False))
        song = pretty_midi.PrettyMIDI(io.BytesIO(raw))
        theirs = sorted(
            (note.pitch, note.start, note.end, note.velocity)
            for instrument in song.instruments
            if not instrument.is_drum
            for note in instrument.notes
        )
        assert theirs, seed
        take = read_take(raw)
        columns = (take.pitches, take.onsets, take.offsets, take.velocities)
        ours = sorted(zip(*(column.tolist() for column in columns), strict=True))
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-6)
