"""Three beats in a bar of four. Common practice of teaching, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.grading import grade_fully, prepare
from evaluator.judge.verdict import Tempo
from tests.bench.beginners import SCRIPTS
from tests.bench.by_hand import Script, played
from tests.playing import play, to_midi


def tempo(script: Script) -> Tempo:
    take = played(script)
    return grade_fully(prepare(take.chart_text), take.midi_bytes).judgement.tempo


def test_three_even_strikes_in_every_bar_of_four_are_told() -> None:
    (script,) = [one for one in SCRIPTS if one.name == "three beats in every bar"]
    assert tempo(script).counted == 3


@pytest.mark.parametrize("kind", ["quarters", "half notes", "whole notes", "eighths"])
def test_who_counts_four_is_told_nothing(kind: str) -> None:
    assert tempo(Script("four", "paper_boat", kind=kind)).counted is None


def test_a_pattern_of_three_strikes_is_no_counting() -> None:
    assert tempo(Script("as written", "kettle_lane", bars="5-20")).counted is None


def test_four_beats_in_every_bar_of_a_waltz_are_told_in_spite_of_its_pattern() -> None:
    (script,) = [one for one in SCRIPTS if one.name == "the waltz in four"]
    assert tempo(script).counted == 4


def test_four_strikes_that_the_pattern_of_a_waltz_wants_are_no_counting() -> None:
    text = (
        "title: Even\nmeter: 3/4\ntempo: 100\n\npattern even\n  count | 1 e & a 2 e & a 3 e & a |\n"
    )
    text += "  left  | x . . . . . . . . . . . |\n  right | x . . x . . x . . x . . |\n\n[Verse]\n"
    text += "| C | F | G | C |\n" * 3
    graph = read_chart(text)
    assert graph.has_patterns
    graded = grade_fully(prepare(text), to_midi(play(graph)))
    assert graded.judgement.tempo.counted is None
