"""The page of a take has everything that a student is told."""

import html
import re
from math import prod

import pytest

from evaluator.grading import Graded, prepare
from evaluator.show.pages import take_page
from tests.playing import Missed, WrongBass, WrongChord, play, to_midi
from tests.show.pages.takes import BARE, graded


def text(page: str) -> str:
    """What a reader sees, without style and script."""
    bare = re.sub(r"<(style|script)[^>]*>.*?</\1>", " ", page, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", bare)).split())


@pytest.fixture(scope="module")
def take() -> Graded:
    faults = (WrongBass(2, "A"), WrongChord(3, "G"), Missed(5, 2.5, "right"))
    return graded(*faults, without=(18,))


@pytest.fixture(scope="module")
def page(take: Graded) -> str:
    return take_page(take, student="Ada Brook")


def test_headline_remarks_and_what_to_put_right_first(take: Graded, page: str) -> None:
    shown = text(page)
    for sentence in (take.report.headline, *take.report.remarks, *take.report.fix_first):
        assert sentence in shown
    assert "Ada Brook" in shown


def test_what_the_parts_leave_comes_to_the_mark(take: Graded, page: str) -> None:
    table = text(re.findall(r'<table class="sum">.*?</table>', page, flags=re.S)[0])
    left = [float(row) for row in re.findall(r"% × ([\d.]+)", table)]
    assert len(left) == 5
    assert abs(100 * prod(left) - take.report.marks.overall) < 0.1
    assert f"Of 100 {take.report.marks.overall:.1f}" in table


def test_every_finding_of_the_form_and_every_passage_to_practise(take: Graded, page: str) -> None:
    shown = text(page)
    for reported in take.report.form:
        assert reported.say in shown
    for passage in take.report.practise:
        assert passage.why in shown
        assert f"at {passage.bpm} beats a minute" in shown


def test_every_fault_stands_under_its_line(take: Graded, page: str) -> None:
    shown = text(page)
    assert all(fault.say in shown for bar in take.report.bars for fault in bar.faults)


def test_every_played_bar_has_a_button(take: Graded, page: str) -> None:
    turns = re.findall(r'class="bar [^"]*"[^>]*data-turns="([\d ]+)"', page)
    heard = sorted(int(turn) for some in turns for turn in some.split())
    assert heard == [bar.verdict.played for bar in take.report.bars]


def test_a_take_of_another_song_is_told_so_and_not_marked() -> None:
    from evaluator.grading import grade_fully

    chart = "title: Elsewhere\ntempo: 140\n\n[All]\n| F#m7b5 | Ab7 | Ebm | B7 | x4\n"
    midi = to_midi(play(prepare(chart).graph))
    take = grade_fully(prepare(BARE), midi)
    assert not take.report.matches
    shown = text(take_page(take))
    assert take.report.headline in shown
    assert "of 100" not in shown


def test_a_chart_without_patterns_says_that_strikes_are_not_judged() -> None:
    assert "The chart has no pattern" in text(take_page(graded(chart=BARE)))


def test_what_was_wrong_with_the_recording_is_told() -> None:
    from evaluator.grading import grade_fully

    song = prepare(BARE)
    cut = to_midi(play(song.graph))[:-6]
    take = grade_fully(song, cut)
    assert take.report.take.repairs
    assert all(repair in text(take_page(take)) for repair in take.report.take.repairs)
