"""A pedal that is never changed is one thing, said first. Common practice, no source."""

from dataclasses import replace

from evaluator.grading import grade_take, prepare
from tests.playing import PedalMove, play, to_midi
from tests.practise.test_loops_told import GRAPH, KETTLE_LANE


def test_a_pedal_held_down_throughout_is_one_finding_at_the_top() -> None:
    take = replace(play(GRAPH, jitter_ms=10), pedal=(PedalMove(0.5, 127),))
    touch = grade_take(prepare(KETTLE_LANE), to_midi(take)).touch
    assert touch.said[0] == (
        "The pedal is hardly ever changed, so the chords run into each other: "
        "change it with each chord."
    )
    assert sum("pedal" in say for say in touch.said) == 1


def test_a_pedal_changed_with_each_chord_is_none() -> None:
    take = play(GRAPH, jitter_ms=10, pedal="each chord")
    touch = grade_take(prepare(KETTLE_LANE), to_midi(take)).touch
    assert not any("pedal" in say for say in touch.said)
