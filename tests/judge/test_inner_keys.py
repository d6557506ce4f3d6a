"""A key inside a chord that does not speak: told, and not held against the player, unless it is
left out again and again. Common practice, no source."""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from evaluator.judge.over_the_bar import let_pass
from evaluator.judge.rubric import COUNTABLE, STEADY
from evaluator.judge.slips import SLIP_COST
from evaluator.report.faults import bar_faults
from tests.judge.truth_path import judged
from tests.playing import Note, WrongNote, play

CHART = """title: Felted Hammers
key: C major
tempo: 90

[A]
        | C                       | F           | G7          | C           |
  right | E4+G4+C5 E4+G4+C5       | A4 C5       | B4 D5       | C5 -        |
  left  | C3+G3    C3+G3          | F3 A3+C4    | G3 F3+B3    | C3 E3+G3+C4 |
"""


@pytest.fixture(scope="module")
def graph() -> BarGraph:
    return read_chart(CHART)


def take(graph: BarGraph, *faults) -> Judgement:
    return judged(graph, play(graph, faults=faults))


def chord(judgement: Judgement, bar: int = 1):
    return judgement.bars[bar - 1].chord.spans[0]


def test_an_inner_key_that_did_not_speak_is_told_and_costs_as_little_as_a_brushed_one(graph):
    judgement = take(graph, WrongNote(1, 0, 67, None))
    found = chord(judgement)
    assert (found.word, found.mute) == ("right", ("G4",))
    assert found.score == pytest.approx(1 - SLIP_COST / 2)  # the one of two strikes
    said = bar_faults(judgement.bars[0], graph)
    assert [(one.kind, one.say) for one in said] == [("slip", "G4 did not speak")]


def test_between_the_hands_the_highest_key_of_the_left_is_an_inner_one(graph):
    judgement = take(graph, WrongNote(1, 0, 55, None))
    found = judgement.bars[0].bass.spans[0]
    assert (found.word, found.mute) == ("right", ("G3",))


@pytest.mark.parametrize("key", [72, 48])
def test_the_highest_and_the_lowest_are_held_on_to(graph, key):
    bar = take(graph, WrongNote(1, 0, key, None)).bars[0]
    assert {bar.chord.word, bar.bass.word} == {"incomplete", "right"}


def test_what_is_left_out_every_time_is_left_out(graph):
    found = chord(take(graph, WrongNote(1, 0, 67, None), WrongNote(1, 2, 67, None)))
    assert (found.word, found.mute) == ("incomplete", ())


def test_two_keys_of_a_chord_are_more_than_one_that_did_not_speak(graph):
    found = chord(take(graph, WrongNote(1, 0, 67, None), WrongNote(1, 0, 64, None)))
    assert (found.word, found.expected, found.mute) == ("incomplete", "E4, G4 and C5", ())


def test_a_key_for_which_another_was_touched_is_missing(graph):
    performance = play(graph, faults=(WrongNote(1, 0, 67, None),))
    start = performance.truth.bars[0].start
    touched = Note(start, start + 0.05, 66, 30, "right")
    notes = tuple(sorted((*performance.notes, touched), key=lambda note: note.onset))
    assert chord(judged(graph, replace(performance, notes=notes))).word == "incomplete"


def test_a_rubric_that_lets_incomplete_chords_pass_takes_nothing_for_it(graph):
    lenient = replace(STEADY, counts=frozenset(COUNTABLE) - {"incomplete_chord"})
    bar = take(graph, WrongNote(1, 0, 67, None)).bars[0]
    found = let_pass(bar, graph.bars[0], lenient).chord.spans[0]
    assert (found.mute, found.score) == (("G4",), 1.0)
