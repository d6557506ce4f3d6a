"""A bar that is played slowly, because it is hard, is played once: nothing was broken off. The
player's own bars are the truth."""

import numpy as np
import pytest

from evaluator.follow import follow
from evaluator.follow.follower import SLOWER, Follower
from evaluator.follow.grid import lay_out
from tests.bench.by_hand import quicker
from tests.bench.kinds import MIXED, play_kind
from tests.follow.songs import LINES, PLAIN, heard, order, song
from tests.playing import Performance, Restart, play


def slowly(speed: float, first: int, last: int, take: Performance | None = None) -> Performance:
    """A take of the song with these bars so many times as fast."""
    played = take or play(song(LINES), jitter_ms=10, seed=1)
    return quicker(speed, first=first, last=last)(played, song(LINES))


@pytest.mark.parametrize("speed", [0.35, 0.5, 0.6, 0.75])
@pytest.mark.parametrize("text", [LINES, PLAIN], ids=["pattern", "no pattern"])
def test_a_slow_bar_is_one_pass_through_it(text: str, speed: float) -> None:
    take = slowly(speed, 7, 7)
    path = follow(song(text), heard(take))
    assert [bar.entry for bar in path.bars] == ["start", *["onward"] * 23]
    starts = [bar.start for bar in path.bars]
    assert starts == pytest.approx([bar.start for bar in take.truth.bars], abs=0.15)


@pytest.mark.parametrize("kind", ["half notes", "quarters", "broken in eighths"])
def test_so_it_is_in_any_rhythm(kind: str) -> None:
    take = slowly(0.5, 10, 11, play_kind(kind, 1, chart_text=LINES).performance)
    path = follow(song(LINES), heard(take))
    assert [bar.entry for bar in path.bars] == ["start", *["onward"] * 23]


def test_a_slow_bar_that_is_broken_off_is_taken_up_again() -> None:
    bars = order(song(LINES), *range(1, 8), *range(7, 25))
    take = play(song(LINES), bars, faults=[Restart(7, 3.0, 1.5)], jitter_ms=10, seed=1)
    path = follow(song(LINES), heard(slowly(0.6, 7, 7, take)))
    entries = [(bar.bar, bar.entry) for bar in path.bars if bar.entry != "onward"]
    assert entries == [(0, "start"), (6, "restart")]


def test_behind_a_slow_bar_the_tempo_before_it_is_taken_up() -> None:
    grid = lay_out(song(LINES))
    follower = Follower(grid)
    for strike in heard(slowly(0.5, 7, 7)):
        follower.push(strike)
    slow = [step for step in follower.steps if step.usual[0] > 0.0]
    assert slow
    assert all(step.ratio[0] > 1.2 * step.usual[0] for step in slow)
    assert follower.steps[-1].usual[0] == 0.0
    assert follower.steps[-1].ratio[0] == pytest.approx(1.0, abs=0.05)
    assert any(np.any(step.kind == SLOWER) for step in follower.steps)


def test_a_take_that_may_go_slowly_anywhere_loses_no_bars_for_it() -> None:
    """Rolled downward, slowing by and by, in a chart without patterns: much may be true at once."""
    take = play_kind("several of these at once", 5, faults=MIXED)
    path = follow(take.graph, heard(take.performance))
    starts = [bar.start for bar in path.bars]
    placed = [min(abs(bar.start - at) for at in starts) < 0.15 for bar in take.truth.bars]
    assert sum(placed) >= 0.95 * len(placed)
