"""How is a close followed that is not in time? The player's own bar lines are the truth."""

from dataclasses import replace

import pytest

from evaluator.follow import follow
from evaluator.follow.otherwise import held_back
from evaluator.follow.playing import Playing
from tests.bench.kinds import play_kind
from tests.follow.songs import LINES, heard, song
from tests.playing import play


@pytest.mark.parametrize(
    ("kind", "seed"),
    [("a ritard of four bars", 8), ("a ritard of four bars", 24), ("last chord held, ritard", 6)],
)
def test_the_bars_of_a_strong_ritard_are_where_they_were_played(kind: str, seed: int) -> None:
    """To half the tempo in four bars of the same chord: half bars are soon as long as bars were."""
    take = play_kind(kind, seed)
    path = follow(take.graph, heard(take.performance))
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert [bar.start for bar in path.bars[-6:]] == pytest.approx(
        [bar.start for bar in take.truth.bars[-6:]], abs=0.2
    )


def test_a_close_in_time_is_followed_once() -> None:
    playing = Playing(song(LINES), heard(play(song(LINES), jitter_ms=15, seed=2)))
    path = playing.way()
    assert held_back(path, playing) is path


def test_where_nothing_is_followed_nothing_is_held_back() -> None:
    playing = Playing(song(LINES), ())
    assert held_back(playing.way(), playing).bars == ()


def test_a_close_that_is_hurried_is_none_that_is_held_back() -> None:
    """Four bars in the time of three: they are where they were played, whatever is tried."""
    take = play(song(LINES))
    close = take.truth.bars[-4].start

    def hurried(time: float) -> float:
        return min(time, close) + 0.75 * max(time - close, 0.0)

    path = follow(song(LINES), [replace(one, time=hurried(one.time)) for one in heard(take)])
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(
        [hurried(bar.start) for bar in take.truth.bars], abs=0.2
    )
