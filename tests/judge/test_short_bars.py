"""Bars that lost a beat because the player went on too soon. Common practice, no source."""

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.judge.verdict import ShortBar
from tests.judge.songs import HEAD, song, take
from tests.playing import Miscounted, Pause, play, to_midi

LINES = HEAD + "[Verse]\n" + "| D | A | Bm7 | G |\n" * 4
GRAPH = song(LINES)


def short(*faults: Miscounted | Pause, **manner: float) -> tuple[ShortBar, ...]:
    midi = to_midi(play(GRAPH, faults=faults, **manner))
    return grade_fully(prepare(LINES), midi).judgement.tempo.short


def test_a_line_that_begins_a_beat_too_soon_makes_the_bar_before_it_short() -> None:
    assert short(Miscounted(4, 3.0), Miscounted(8, 3.0)) == (ShortBar(3, 1), ShortBar(7, 1))


def test_two_beats_that_are_lost_are_counted() -> None:
    assert short(Miscounted(8, 2.0)) == (ShortBar(7, 2),)


@pytest.mark.parametrize("manner", [{}, {"wander_pct": 4, "seed": 3}, {"tempo": 0.6}])
def test_nothing_is_short_in_a_take_that_goes_on_in_time(manner: dict[str, float]) -> None:
    assert short(**manner) == ()


def test_a_halt_makes_no_bar_beside_it_short() -> None:
    assert short(Pause(8, 0.0, 2.0)) == ()


def test_a_meter_of_its_own_is_no_lost_beat() -> None:
    assert take(graph=song()).tempo.short == ()
