"""A perfect take of an imported score is perfect, and a missing bar is that bar.

Scores: the corpus of music21, read from the installed package. The takes are the guides
that this project writes of the imported charts, and those of the player of tests/playing,
which knows nothing of them.
"""

import pytest

from evaluator.excerpt.song import Song
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.notation import import_score
from evaluator.practise.guide import guide
from tests.against.test_notation_corpus import FOSTER, PIANO, raw
from tests.playing import play, to_midi

WORKS = [FOSTER, PIANO]


@pytest.fixture(scope="module", params=WORKS)
def song(request: pytest.FixtureRequest) -> Song:
    return prepare(import_score(raw(request.param), name="x").text)


def graded(song: Song, order: list[int], *, by: str = "guide") -> Graded:
    midi = guide(song.graph, order) if by == "guide" else to_midi(play(song.graph, order))
    return grade_fully(song, midi)


@pytest.mark.parametrize("by", ["guide", "player"])
def test_what_is_played_as_written_is_worth_a_hundred(song: Song, by: str) -> None:
    found = graded(song, list(song.graph.written), by=by).judgement
    marks = found.marks
    assert {marks.overall, marks["chord"], marks["bass"], marks["form"]} == {100.0}
    assert marks["rhythm"] in (None, 100.0)
    assert found.form == ()


@pytest.mark.parametrize("number", [10, 15, 19])
def test_a_bar_that_is_missing_is_that_bar(song: Song, number: int) -> None:
    bars = [song.graph.bars[index] for index in song.graph.written]
    order = [bar.index for bar in bars if bar.number != number]
    (finding,) = graded(song, order).judgement.form
    assert (finding.kind, finding.count) == ("missing", 1)
    first, last = finding.run or (finding.bars[0], finding.bars[0])
    assert first <= number <= last
