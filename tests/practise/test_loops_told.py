"""A passage played round and round: what its headline says, and one hand alone in it. Our own
rules, no source."""

from dataclasses import replace
from pathlib import Path

import pytest

from evaluator.chart.graph import Hand
from evaluator.errors import TakeError
from evaluator.grading import grade_take, prepare
from tests.playing import Missed, Performance, WrongChord, play, to_midi

KETTLE_LANE = (Path(__file__).parents[2] / "charts/kettle_lane.txt").read_text(encoding="utf-8")
GRAPH = prepare(KETTLE_LANE).graph


def rounds(first: int, last: int, times: int, **more: object) -> Performance:
    """Bars of the written song, from 1, played so many times."""
    return play(GRAPH, list(GRAPH.written[first - 1 : last]) * times, jitter_ms=10, **more)


def alone(take: Performance, hand: Hand) -> bytes:
    return to_midi(replace(take, notes=tuple(n for n in take.notes if n.hand == hand)))


def test_a_headline_counts_the_times_through() -> None:
    song = prepare(KETTLE_LANE, bars="13-16")
    faults = [WrongChord(1, "Em"), WrongChord(5, "Em")]
    better = grade_take(song, to_midi(rounds(13, 16, 3, faults=faults)))
    told = "1 of 3 times through with nothing wrong; the last time, nothing wrong."
    assert better.headline.endswith(told)
    worse = grade_take(song, to_midi(rounds(13, 16, 3, faults=[WrongChord(9, "Em")])))
    assert worse.headline.endswith(
        "2 of 3 times through with nothing wrong; the last time, bar 13 wrong."
    )
    right = grade_take(song, to_midi(rounds(13, 16, 3)))
    assert right.headline == "Well played: three times through with nothing wrong."


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("bars", ["13-16", "20-27"])
def test_a_loop_of_one_hand_is_known_without_being_asked_for(hand: Hand, bars: str) -> None:
    first, last = map(int, bars.split("-"))
    report = grade_take(prepare(KETTLE_LANE, bars=bars), alone(rounds(first, last, 4), hand))
    assert report.take.hand == hand
    assert report.headline == "Well played: four times through with nothing wrong."


def test_what_one_hand_plays_through_the_song_gets_the_hint_to_say_so() -> None:
    song = prepare(KETTLE_LANE, bars="72-75")
    with pytest.raises(TakeError, match="only the left hand was played in it, add --hand left"):
        grade_take(song, alone(rounds(1, 40, 1), "left"))


def test_the_left_hand_alone_is_praised_for_its_bass() -> None:
    take = rounds(1, 20, 1, faults=[Missed(bar, 2.0, "left") for bar in (6, 7, 8)])
    report = grade_take(prepare(KETTLE_LANE, hand="left"), alone(take, "left"))
    assert "all 20 bars with the right bass, the pattern off" in report.headline
