"""The same notes as pretty_midi 0.2 reads, note for note.

`python -m tests.against.readers --count 1000` compares more files.
"""

import pytest

from tests.against.readers import same_as_pretty_midi


@pytest.mark.parametrize("block", range(4))
def test_random_files_give_the_notes_that_pretty_midi_reads(block: int) -> None:
    seeds = range(1000 + block * 50, 1050 + block * 50)
    assert [seed for seed in seeds if not same_as_pretty_midi(seed)] == []
