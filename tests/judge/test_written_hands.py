"""Whose note was it, where both hands are written out? Common practice, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.judge.hands import HandStrike
from evaluator.judge.written_hands import WrittenPlace, as_written
from tests.judge.truth_path import judged
from tests.playing import play


def struck(hand: str, *pitches: int, time: float = 1.0) -> HandStrike:
    notes = tuple(range(len(pitches)))
    return HandStrike(0, hand, time, notes, pitches, (60,) * len(pitches), (2.0,) * len(pitches))


def hands(*parts: HandStrike, place: WrittenPlace | None) -> dict[str, tuple[int, ...]]:
    return {one.hand: one.pitches for one in as_written(parts, [place])}


def test_a_note_goes_to_the_hand_that_it_is_written_for():
    place = WrittenPlace(left=(55, 60, 64), right=(65,))
    assert hands(struck("left", 55), struck("right", 60, 64, 65), place=place) == {
        "left": (55, 60, 64),
        "right": (65,),
    }


def test_a_wrong_note_goes_to_the_hand_whose_key_is_near():
    place = WrittenPlace(left=(48,), right=(64,))
    assert hands(struck("left", 50, 62), place=place) == {"left": (50,), "right": (62,)}


def test_a_hand_that_rests_gets_nothing():
    assert hands(struck("left", 60, 64), place=WrittenPlace((), (60, 64))) == {"right": (60, 64)}


@pytest.mark.parametrize("place", [None, WrittenPlace((36,), ()), WrittenPlace((60,), (68,))])
def test_what_cannot_be_told_stays_where_it_was(place):
    assert hands(struck("right", 64), place=place) == {"right": (64,)}


def test_the_time_is_that_of_the_strike_that_gave_the_notes():
    place = WrittenPlace(left=(48, 55), right=(72,))
    parts = (struck("left", 48, time=1.0), struck("right", 55, 72, time=1.02))
    left, right = as_written(parts, [place])
    assert (left.time, right.time) == (1.0, 1.02)


def test_hands_that_go_into_each_other_are_told_apart_in_a_take_of_one_track():
    text = (
        "title: T\ntempo: 96\n[A]\n"
        "| C | F | C |\n"
        " right | E4 . G4 . | . A4 - C5 | E4 G4 C5 . |\n"
        " left | C4 E4+G4 - E4+G4 | F3 A4+C5 - - | C3 E4 G4 . |\n"
    )
    graph = read_chart(text)
    judgement = judged(graph, play(graph))
    assert judgement.marks.overall == 100.0
