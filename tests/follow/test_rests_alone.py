"""A passage in which the chart wants nothing, to be played round and round. Common practice,
no source."""

from evaluator.excerpt.rounds import looped
from evaluator.follow.grid import opening
from evaluator.grading import grade_take, prepare
from tests.playing import play, to_midi

TEXT = "title: Tin Bird\ntempo: 120\n[A]\n| N.C. | N.C. | C | F |\n"


def test_the_opening_of_rests_that_go_round_comes_to_an_end() -> None:
    song = prepare(TEXT, bars="1-2")
    assert opening(looped(song.graph)) == [0, 1]
    assert opening(prepare(TEXT).graph) == [0, 1, 2]


def test_a_take_of_rests_alone_is_answered() -> None:
    take = to_midi(play(prepare(TEXT).graph))
    assert grade_take(prepare(TEXT, bars="1-2"), take).headline
