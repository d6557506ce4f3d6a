"""Who goes on too soon from line after line loses no bar. The player's bar lines are the truth."""

import pytest

from evaluator.follow.otherwise import line_by_line
from evaluator.follow.playing import Playing
from tests.bench.kinds import play_kind
from tests.follow.songs import LINES, heard, path_of, song
from tests.playing import Miscounted, Pause, play


@pytest.mark.parametrize("seed", [1, 8])
def test_lines_that_end_a_beat_early_lead_nobody_astray(seed: int) -> None:
    """In one of the takes it was followed through jumps, in the other beside the bar lines."""
    take = play_kind("lines end a beat early", seed)
    path = path_of(take)
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(
        [bar.start for bar in take.truth.bars], abs=0.15
    )


def test_a_habit_that_explains_little_more_is_none() -> None:
    """A beat lost at one line, and two short halts elsewhere."""
    faults = (Miscounted(8, 3.0), Pause(10, 1.0, 0.5), Pause(14, 2.0, 0.5))
    playing = Playing(song(LINES), heard(play(song(LINES), faults=faults)))
    path = playing.way()
    assert line_by_line(path, playing) is path
