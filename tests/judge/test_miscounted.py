"""Bars that lost a beat, or had one too many, at the ends of lines. Common practice, no source."""

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.judge.verdict import Judgement, MiscountedBar
from tests.judge.songs import HEAD, song, take
from tests.playing import Miscounted, Pause, play, to_midi

LINES = HEAD + "[Verse]\n" + "| D | A | Bm7 | G |\n" * 4
GRAPH = song(LINES)


def miscounted(*faults: Miscounted | Pause, **manner: float) -> tuple[MiscountedBar, ...]:
    return judged(*faults, **manner).tempo.miscounted


def judged(*faults: Miscounted | Pause, **manner: float) -> Judgement:
    midi = to_midi(play(GRAPH, faults=faults, **manner))
    return grade_fully(prepare(LINES), midi).judgement


def test_a_line_that_begins_a_beat_too_soon_makes_the_bar_before_it_short() -> None:
    found = miscounted(Miscounted(4, 3.0), Miscounted(8, 3.0))
    assert found == (MiscountedBar(3, -1), MiscountedBar(7, -1))


def test_two_beats_that_are_lost_are_counted() -> None:
    assert miscounted(Miscounted(8, 2.0)) == (MiscountedBar(7, -2),)


def test_a_line_that_begins_a_beat_too_late_makes_the_bar_before_it_long() -> None:
    found = judged(Miscounted(4, 5.0), Miscounted(8, 5.0))
    assert found.tempo.miscounted == (MiscountedBar(3, 1), MiscountedBar(7, 1))
    assert found.form == ()


def test_a_beat_too_many_that_lasts_as_long_as_a_halt_is_told_once() -> None:
    """At two thirds of the tempo a beat is nearly a second long."""
    found = judged(Pause(5, 0.0, 0.98), Pause(9, 0.0, 0.9), tempo=0.66)
    assert [(one.kind, one.bars) for one in found.form] == [("break", (5,))]
    assert found.tempo.miscounted == (MiscountedBar(7, 1),)


def test_a_beat_too_many_inside_a_line_is_a_hesitation() -> None:
    assert miscounted(Miscounted(6, 5.0)) == ()


def test_a_wait_before_a_line_that_is_no_whole_beat_is_a_breath_or_a_halt() -> None:
    """A beat is 0.625 s here."""
    breath = judged(Pause(5, 0.0, 0.4))
    assert breath.tempo.miscounted == ()
    assert breath.form == ()
    halt = judged(Pause(5, 0.0, 1.0))
    assert halt.tempo.miscounted == ()
    assert [one.kind for one in halt.form] == ["break"]


@pytest.mark.parametrize("manner", [{}, {"wander_pct": 4, "seed": 3}, {"tempo": 0.6}])
def test_nothing_is_short_in_a_take_that_goes_on_in_time(manner: dict[str, float]) -> None:
    assert miscounted(**manner) == ()


def test_a_halt_makes_no_bar_beside_it_short() -> None:
    assert miscounted(Pause(8, 0.0, 2.0)) == ()


def test_a_meter_of_its_own_is_no_lost_beat() -> None:
    assert take(graph=song()).tempo.miscounted == ()
