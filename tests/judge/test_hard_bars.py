"""Bars that were played much more slowly than those around them are said, and what is struck in
them is held against their own tempo. Common practice, no source."""

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.judge.verdict import Judgement
from tests.bench.by_hand import quicker
from tests.bench.kinds import play_kind
from tests.judge.songs import HEAD, song
from tests.playing import Pause, Performance, play, to_midi

LINES = HEAD + "[Verse]\n" + "| D | A | Bm7 | G |\n" * 4 + "[Chorus]\n" + "| Em7 | A |\n" * 4
GRAPH = song(LINES)


def taken(performance: Performance, speed: float = 1.0, bar: int = 6) -> Judgement:
    slowed = quicker(speed, first=bar, last=bar)(performance, GRAPH)
    return grade_fully(prepare(LINES), to_midi(slowed)).judgement


@pytest.mark.parametrize("speed", [0.4, 0.6])
@pytest.mark.parametrize("bar", [2, 6, 20])
def test_a_slow_bar_is_told_and_nothing_in_it_is_late(bar: int, speed: float) -> None:
    found = taken(play(GRAPH, jitter_ms=8, seed=1), speed, bar)
    assert found.tempo.slow == (bar - 1,)
    assert [one.kind for one in found.form] == []
    faults = [fault for verdict in found.bars for fault in verdict.rhythm.faults]
    assert len(faults) <= 2  # at the bar lines, which come late with it


@pytest.mark.parametrize("manner", [{}, {"wander_pct": 4, "seed": 3}, {"tempo": 0.6}])
def test_no_bar_stands_out_of_a_tempo_that_wanders(manner: dict[str, float]) -> None:
    assert taken(play(GRAPH, **manner)).tempo.slow == ()


@pytest.mark.parametrize(
    "kind", ["a ritard of four bars", "one section slower", "both hands search"]
)
def test_nor_of_one_that_bends_otherwise(kind: str) -> None:
    assert taken(play_kind(kind, 1, chart_text=LINES).performance).tempo.slow == ()


def test_a_halt_is_no_slow_bar() -> None:
    assert taken(play(GRAPH, faults=[Pause(7, 2.0, 2.0)])).tempo.slow == ()
