"""The same notes as mido 1.3 (which parses independently) reads, paired first in, first out.

`python -m tests.against.readers --count 1000` compares more files.
"""

import pytest

from tests.against.readers import same_as_mido


@pytest.mark.parametrize("block", range(4))
def test_random_files_give_the_notes_that_mido_reads(block: int) -> None:
    seeds = range(block * 50, block * 50 + 50)
    assert [seed for seed in seeds if not same_as_mido(seed)] == []
