"""Three beats in a bar of four. Common practice of teaching, no source."""

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.judge.verdict import Tempo
from tests.bench.beginners import SCRIPTS
from tests.bench.by_hand import Script, played


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
