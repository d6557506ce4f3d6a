"""Takes made by hand: each is what its script says."""

import pytest

from evaluator.chart import read_chart
from tests.bench.beginners import SCRIPTS
from tests.bench.by_hand import chart_text, numbered, played
from tests.bench.students import Simulated


def _take(name: str) -> Simulated:
    return played(next(script for script in SCRIPTS if script.name == name))


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.name)
def test_every_script_can_be_played_and_says_what_a_teacher_would(script) -> None:  # type: ignore[no-untyped-def]
    take = played(script)
    assert len(take.performance.notes) > 40
    assert script.teacher.endswith(".")


def test_no_two_scripts_are_one() -> None:
    assert len({script.name for script in SCRIPTS}) == len(SCRIPTS) >= 40


def test_bars_are_counted_as_on_paper() -> None:
    graph = read_chart(chart_text("kettle_lane"))
    order = numbered(graph, "9-13 5")
    assert [graph.bars[index].number for index in order] == [9, 10, 11, 12, 13, 5]
    assert not any(graph.bars[index].alternative for index in order)


def test_with_f_for_f_sharp_no_f_sharp_is_left() -> None:
    classes = {note.pitch % 12 for note in _take("F for F#").performance.notes}
    assert 6 not in classes
    assert 5 in classes


def test_hands_apart_are_one_hand_at_a_time() -> None:
    take = _take("hands apart, then together")
    bars = take.truth.bars
    hands = [
        {n.hand for n in take.performance.notes if one.start - 0.1 < n.onset < one.end - 0.2}
        for one in (bars[9], bars[29], bars[49])
    ]
    assert hands == [{"right"}, {"left"}, {"left", "right"}]


def test_a_third_left_out_is_nowhere_in_the_right_hand() -> None:
    take = _take("the third left out")
    bar = take.truth.bars[0]  # D
    struck = {n.pitch % 12 for n in take.performance.notes if bar.start - 0.1 < n.onset < bar.end}
    assert {2, 9} <= struck
    assert 6 not in struck


def test_a_chord_put_right_is_right_before_its_bar_is_over() -> None:
    take = _take("put right at once")
    bar = take.truth.bars[7]  # G
    right = [n for n in take.performance.notes if n.hand == "right"]
    inside = [n for n in right if bar.start - 0.1 < n.onset < bar.end - 0.1]
    first = [n for n in inside if n.onset < inside[0].onset + 0.1]
    assert {n.pitch % 12 for n in first} == {9, 1, 4}
    assert {n.pitch % 12 for n in inside if n not in first} >= {7, 11, 2}
