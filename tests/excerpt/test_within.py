"""A passage asked for of a take of the whole song. Common practice among teachers, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.errors import TakeError
from evaluator.grading import grade_fully, prepare
from evaluator.report.model import Report
from tests.cli.commands import CHART
from tests.playing import Fault, Missed, WrongBass, WrongChord, play, to_midi

GRAPH = read_chart(CHART)
WRITTEN = list(GRAPH.written)
THROUGH = "The take goes through the song; only the passage asked for is judged"


def graded(order: list[int], *faults: Fault) -> Report:
    midi = to_midi(play(GRAPH, order, faults=faults, jitter_ms=10.0))
    return grade_fully(prepare(CHART, bars="5-8"), midi).report


def test_the_passage_is_judged_where_it_comes_in_the_song() -> None:
    report = graded(WRITTEN, WrongBass(6, "A"))
    assert report.remarks[0].startswith(THROUGH)
    assert [one.wrong for one in report.passes] == [(6,)]
    assert [bar.number for bar in report.bars] == [5, 6, 7, 8]
    assert report.form == ()


def test_what_was_wrong_elsewhere_is_not_held_against_it() -> None:
    report = graded(WRITTEN, WrongChord(2, "F"), WrongBass(10, "A"), WrongChord(12, "F"))
    assert [one.wrong for one in report.passes] == [()]
    assert report.marks.overall > 99.0


def test_what_is_missing_of_it_is_missing() -> None:
    report = graded([index for index in WRITTEN if GRAPH.bars[index].number != 7])
    assert [one.wrong for one in report.passes] == [(7,)]


def test_a_song_played_twice_has_it_twice() -> None:
    report = graded(WRITTEN * 2, WrongBass(16 + 6, "A"))
    assert [one.wrong for one in report.passes] == [(), (6,)]


def test_a_take_that_does_not_come_to_it_is_told_so() -> None:
    later = [index for index in WRITTEN if GRAPH.bars[index].number > 8]
    with pytest.raises(TakeError, match="does not reach bars 5 to 8; grade it without naming"):
        graded(later)


def test_a_passage_played_badly_round_and_round_is_still_one() -> None:
    line = [index for index in WRITTEN if 5 <= GRAPH.bars[index].number <= 8]
    wrong = [
        fault
        for bar in (1, 3, 4, 6, 8, 9, 11)
        for fault in (WrongChord(bar, "F"), WrongBass(bar, "B"))
    ]
    report = graded(line * 3, *wrong, Missed(4, 0.0, "left"))
    assert report.marks.overall < 75.0
    assert not any(remark.startswith(THROUGH) for remark in report.remarks)
    assert len(report.passes) >= 3
