"""Is the way that is traced in parts the way that is traced at once? No outside source: the
follower's own whole backtrack is the measure."""

from functools import cache

import pytest

from evaluator.chart import read_chart
from evaluator.follow.follower import Follower
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import trace
from evaluator.follow.path import Path
from evaluator.live.backtrack import WHOLE, Tidying, way
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.cli.commands import CHART
from tests.playing import Pause, Restart, play, to_midi

SONG = read_chart(
    CHART.replace("| D | x4", "| D | x40\n\n[Verse 2]\n| G | A | D | D |\n| Bm7 | A | x20")
)


@cache
def takes() -> dict[str, tuple[Strike, ...]]:
    clean = play(SONG, jitter_ms=10)
    order = SONG.written
    again = [*order[:30], *order[28:]]
    halts = [Restart(30, 2.0, 1.5), Pause(50, 1.0, 1.2)]
    restarted = play(SONG, again, jitter_ms=10, faults=halts)
    short = play(SONG, [*SONG.written[:30], *SONG.written[33:]], jitter_ms=10)
    return {
        name: strikes(read_take(to_midi(take)))
        for name, take in (("clean", clean), ("restarted", restarted), ("short", short))
    }


def places(path: Path) -> list[tuple[int, str, tuple[int, ...]]]:
    return [(bar.bar, bar.entry, tuple(one.strike for one in bar.strikes)) for bar in path.bars]


def starts(path: Path) -> list[float]:
    return [bar.start for bar in path.bars]


@pytest.mark.parametrize("name", ["clean", "restarted", "short"])
def test_in_parts_or_at_once(name: str) -> None:
    follower, tidying, known = Follower(lay_out(SONG)), Tidying(), Path((), 0, False, 0.0, (), ())
    for number, strike in enumerate(takes()[name]):
        follower.push(strike)
        tidying.tidy(follower)
        if number % 4 == 3:
            known = way(follower, 0, known, 16)
    known = way(follower, 0, known, 16, over=True)
    whole = Follower(lay_out(SONG))
    for strike in takes()[name]:
        whole.push(strike)
    assert len(takes()[name]) > 2 * WHOLE
    at_once = trace(whole)
    assert places(known) == places(at_once)
    assert starts(known) == pytest.approx(starts(at_once), abs=0.05)
    assert known.complete


def test_tidying_up_keeps_the_way_and_few_hypotheses() -> None:
    follower, tidying = Follower(lay_out(SONG)), Tidying()
    whole = Follower(lay_out(SONG))
    for strike in takes()["restarted"]:
        follower.push(strike)
        tidying.tidy(follower)
        whole.push(strike)
    assert places(trace(follower)) == places(trace(whole))
    old = [len(step.cost) for step in follower.steps[: -2 * WHOLE]] or [
        len(step.cost) for step in follower.steps[:100]
    ]
    assert sum(old) / len(old) < 16  # of up to two hundred
