"""What is said of a bar that was cut short?

The strikes on the beats for which it left no time were not made: common practice, no
source. What was lost is what was cut out of the take.
"""

import pytest

from evaluator.follow import follow
from evaluator.judge import Judgement, judge
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.take.strike import strikes
from tests.bench.edits import cut
from tests.judge.songs import song
from tests.judge.truth_path import take_of
from tests.playing import play

BEAT = 60 / 96


def verdict(bar: int, beats: int, rubric: Rubric = STEADY) -> Judgement:
    """The verdict on a take without the last beats of a bar."""
    graph = song()
    performance = play(graph)
    end = performance.truth.bars[bar - 1].end
    take = cut(take_of(performance), end - beats * BEAT, end)
    heard = strikes(take)
    return judge(graph, take, heard, follow(graph, heard), rubric=rubric)


def test_strikes_on_lost_beats_are_missed() -> None:
    said = verdict(3, 2)
    assert [(one.kind, one.beat, one.hand) for one in said.bars[2].rhythm.faults] == [
        ("missed", 2.0, "left"),
        ("missed", 2.5, "right"),
        ("missed", 3.0, "right"),
    ]
    assert said.bars[2].rhythm.hits == 2
    assert said.bars[2].rhythm.score == pytest.approx(2 / 5, abs=0.02)
    others = [one for one in said.bars if one.played != 3]
    assert all(not one.rhythm.faults for one in others)
    assert said.form == ()


def test_a_rubric_that_lets_missed_strikes_pass_takes_nothing_off_for_lost_beats() -> None:
    lenient = Rubric(name="kind", counts=STEADY.counts - {"missed_strike"})
    assert verdict(3, 2, lenient).bars[2].rhythm.score == pytest.approx(1.0, abs=0.02)
