"""Ornaments that a player adds to plain notes, and keys that nobody hears. Ornaments are those of
the tables of C. P. E. Bach (Versuch, 1753), from memory."""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from tests.judge.truth_path import judged
from tests.playing import Note, play

SONG = """title: Unasked Wren
key: C major
tempo: 60

[A]
        | C           | C           | C           |
  right | C5 G5 E5 G5 | C5 G5 E5 G5 | C5 G5 E5 G5 |
  left  | C3 E3 G3 E3 | C3 E3 G3 E3 | C3 E3 G3 E3 |
"""


@pytest.fixture(scope="module")
def graph() -> BarGraph:
    return read_chart(SONG)


def besides(
    graph: BarGraph, *struck: tuple[float, int], velocity: int = 60, seconds: float = 0.08
) -> Judgement:
    """The verdict on a take with these keys besides: seconds in the middle bar, key."""
    performance = play(graph)
    start = performance.truth.bars[1].start
    more = (Note(start + at, start + at + seconds, key, velocity, "right") for at, key in struck)
    notes = tuple(sorted((*performance.notes, *more), key=lambda note: note.onset))
    return judged(graph, replace(performance, notes=notes))


def findings(judgement: Judgement) -> list[str]:
    found = []
    for bar in judgement.bars:
        for part in (bar.chord, bar.bass):
            found += [span.word for span in part.spans if span.word != "right" or span.slips]
        found += [fault.kind for fault in bar.rhythm.faults]
    return found


@pytest.mark.parametrize(
    "struck",
    [
        pytest.param(((0.08, 74), (0.16, 72)), id="an upper mordent"),
        pytest.param(((0.08, 71), (0.16, 72)), id="a mordent"),
        pytest.param(((-0.2, 72), (-0.1, 74)), id="a mordent before the beat"),
        pytest.param(tuple((0.1 * at, 74 - at % 2 * 2) for at in range(1, 9)), id="a trill"),
    ],
)
def test_an_ornament_that_nobody_asked_for_is_no_wrong_note(graph, struck):
    assert findings(besides(graph, *struck)) == []


@pytest.mark.parametrize(
    "struck",
    [
        pytest.param(((-0.1, 74),), id="a neighbour that is hit first and put right"),
        pytest.param(((0.12, 74),), id="a neighbour, and not back"),
        pytest.param(((0.25, 74), (0.5, 72)), id="slow enough for a tune"),
        pytest.param(((0.1, 77), (0.2, 72)), id="a leap"),
    ],
)
def test_what_is_no_ornament_is_told(graph, struck):
    assert findings(besides(graph, *struck)) != []


def test_a_key_touched_so_softly_that_nobody_hears_it_is_nothing(graph):
    assert findings(besides(graph, (0.5, 66), velocity=10, seconds=0.4)) == []
    assert findings(besides(graph, (0.5, 66), velocity=40, seconds=0.4)) == ["added"]


def test_between_two_notes_as_they_are_written_a_neighbour_is_no_ornament():
    graph = read_chart(SONG.replace("C5 G5 E5 G5", "C5,E5,C5,E5 G5 E5 G5").replace("60", "120"))
    assert findings(besides(graph, (0.12, 74))) != []
