"""A passage round and round, pass by pass. Common practice among teachers, no source."""

from pathlib import Path

from evaluator.chart import read_chart
from evaluator.excerpt.rounds import excerpt, looped
from evaluator.grading import grade_fully, prepare
from evaluator.practise.guide import Playing, guide
from evaluator.report.model import Report
from tests.cli.commands import CHART
from tests.playing import Fault, Pause, Restart, WrongBass, WrongChord, play, to_midi

GRAPH = read_chart(CHART)
OTHER = (Path(__file__).parents[2] / "charts" / "tallow_moon.txt").read_text(encoding="utf-8")
LINE = tuple(index for index in GRAPH.written if 5 <= GRAPH.bars[index].number <= 8)


def graded(order: list[int], *faults: Fault) -> Report:
    midi = to_midi(play(GRAPH, order, faults=faults, jitter_ms=10.0, tempo=0.9))
    return grade_fully(prepare(CHART, bars="5-8"), midi).report


def test_every_time_through_gets_its_own_marks() -> None:
    report = graded([*LINE] * 3, WrongBass(2, "A"), WrongChord(3, "F"), WrongBass(6, "A"))
    assert [one.wrong for one in report.passes] == [(6, 7), (6,), ()]
    first, second, third = (one.marks.overall for one in report.passes)
    assert first < second < third
    assert all(one.complete for one in report.passes)
    assert report.form == ()
    assert (report.chart.bars, report.bars[0].number) == (16, 5)


def test_the_pause_between_two_times_is_nobodys_fault() -> None:
    report = graded([*LINE] * 2, Pause(5, 0.0, 2.5))
    assert [one.marks["form"] for one in report.passes] == [100.0, 100.0]
    assert report.form == ()


def test_a_bar_that_is_left_out_later_is_missing_although_it_was_there_before() -> None:
    report = graded([*LINE, LINE[0], *LINE[2:], *LINE])
    assert [finding.finding.kind for finding in report.form] == ["missing"]
    assert [one.wrong for one in report.passes] == [(), (6,), ()]


def test_going_back_to_the_beginning_sooner_begins_anew() -> None:
    report = graded([*LINE, *LINE[:2], *LINE], Restart(6, 2.0, 1.5))
    assert [one.complete for one in report.passes] == [True, False, True]


def test_a_guide_of_a_passage_is_right_every_time() -> None:
    midi = guide(GRAPH, LINE, Playing(bpm=70, times=4))
    report = grade_fully(prepare(CHART, bars="5-8"), midi).report
    assert [one.marks.overall for one in report.passes] == [100.0] * 4
    assert {round(one.bpm) for one in report.passes} == {70}


def test_one_bar_alone_goes_round_too() -> None:
    midi = guide(GRAPH, LINE[1:2], Playing(times=6))
    assert len(grade_fully(prepare(CHART, bars="6"), midi).report.passes) == 6


OR = "title: Or\ntempo: 100\n[A]\n| C | F |\nor | C | Dm |\n| G | C |\n[B]\n| F | x2-3\n| C |\n"


def test_an_excerpt_keeps_or_lines_and_ranges_and_may_go_back_from_its_end() -> None:
    graph = read_chart(OR)
    first = excerpt(graph, graph.written[:4])
    assert [bar.text for bar in first.bars] == ["C", "F", "C", "Dm", "G", "C"]
    assert set(first.starts) == {0, 2}
    assert first.finals == (5,)
    assert set(looped(first).successors[5]) == {0, 2}
    last = excerpt(graph, graph.written[4:])
    assert last.successors == ((1,), (2, 3), (3,), ())
    part = excerpt(graph, graph.written[:1])
    assert [bar.text for bar in part.bars] == ["C"]  # half a line has no `or` line


def test_how_it_was_played_counts_in_the_marks_of_all_times() -> None:
    report = graded([*LINE] * 3, Pause(2, 2.0, 1.5))
    assert report.touch.mark is not None
    assert report.marks["touch"] == round(report.touch.mark, 1) < 99.0


def test_another_song_goes_through_no_passage() -> None:
    other = play(read_chart(OTHER), jitter_ms=10.0)
    report = grade_fully(prepare(CHART, bars="5-8"), to_midi(other)).report
    assert not report.matches
    assert report.passes == ()
