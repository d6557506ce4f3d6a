"""Passages worth playing again. Common practice among teachers, no source."""

from dataclasses import replace

from evaluator.judge.verdict import StrikeFault, Tempo
from tests.report.builders import (
    finding,
    judgement,
    off_beat,
    report,
    right_bar,
    song,
    student_take,
    wrong_chord,
)


def test_the_costliest_lines_are_practised_slower_than_they_were_played() -> None:
    graph, judged = student_take()
    loops = report(judged, graph).practise
    assert [(loop.bars, loop.section, loop.why) for loop in loops] == [
        ((29, 32), "Chorus 2", "count the bars"),
        ((5, 8), "Verse 1", "the chords and the bass notes"),
        ((9, 12), "Verse 1", "the bass notes"),
    ]
    assert {loop.bpm for loop in loops} == {round(0.8 * 92.4)}


def test_a_tail_is_practised_with_the_bar_after_it() -> None:
    graph = song()
    judged = judgement(graph, form=[finding("extra", [20], graph)])
    assert report(judged, graph).practise[0].bars == (17, 21)


def test_a_single_missed_strike_is_not_worth_a_loop() -> None:
    graph = song()
    spoiled = {2: off_beat(right_bar(graph, 1, 2), 0.8, StrikeFault("missed", 1.0, "left"))}
    assert report(judgement(graph, spoiled=spoiled), graph).practise == ()


def test_a_take_played_too_fast_is_practised_below_the_tempo_of_the_chart() -> None:
    graph = song()
    spoiled = {2: wrong_chord(right_bar(graph, 1, 2), "A")}
    judged = replace(judgement(graph, spoiled=spoiled), tempo=Tempo(96.0, 130.0, 2.0))
    assert report(judged, graph).practise[0].bpm == round(0.8 * 96)


def test_there_are_never_more_than_three() -> None:
    graph = song()
    spoiled = {n: wrong_chord(right_bar(graph, n - 1, n), "F") for n in range(1, 9)}
    spoiled |= {n: wrong_chord(right_bar(graph, n + 3, n), "F") for n in (14, 18, 22)}
    assert len(report(judgement(graph, spoiled=spoiled), graph).practise) == 3
