"""What a student is told to put right first. Wordings and weights are our own."""

from dataclasses import replace
from typing import Any

import pytest

from evaluator.judge.verdict import StrikeFault, Touch, TouchVerdict
from evaluator.report.model import Report
from tests.report.builders import (
    finding,
    incomplete_chord,
    judgement,
    lost,
    off_beat,
    report,
    right_bar,
    root_for_bass,
    song,
    student_take,
    wrong_chord,
)

CUE = '("Down by the kettle where the lane ...")'


def test_the_three_costliest_things_come_first() -> None:
    graph, judged = student_take()
    assert report(judged, graph).fix_first == (
        "Chorus 2, the tail: three bars of D where the chart has four (bars 29 to 32)."
        " These bars sound alike, so only the count is certain.",
        "In the bass under A, the root A was played instead of C#"
        " (Verse 1, bars 6 and 10; Verse 2, bar 22).",
        f"Verse 1, bar 7 {CUE}: G was played instead of Bm7.",
    )


def test_nothing_is_to_be_put_right_in_a_faultless_take() -> None:
    graph = song()
    assert report(judgement(graph), graph).fix_first == ()


def test_one_wrong_bass_is_told_at_its_place() -> None:
    graph = song()
    spoiled = {6: root_for_bass(right_bar(graph, 5, 6), "C#", "A")}
    assert report(judgement(graph, spoiled=spoiled), graph).fix_first == (
        f"Verse 1, bar 6 {CUE}: in the bass under A, the root A was played instead of C#.",
    )


def test_an_incomplete_chord_says_what_was_heard() -> None:
    graph = song()
    spoiled = {7: incomplete_chord(right_bar(graph, 6, 7), "Bm")}
    assert report(judgement(graph, spoiled=spoiled), graph).fix_first == (
        f"Verse 1, bar 7 {CUE}: Bm7 was incomplete (Bm was heard).",
    )


def test_the_same_beat_left_out_again_is_one_thing_to_put_right() -> None:
    graph = song()
    missed = StrikeFault("missed", 3.5, "right")
    spoiled = {n: off_beat(right_bar(graph, n - 1, n), 0.8, missed) for n in (2, 3, 4)}
    assert report(judgement(graph, spoiled=spoiled), graph).fix_first == (
        "The right hand leaves out the and of 4 (Intro, bars 2 to 4).",
    )


def test_lateness_is_told_by_its_mean() -> None:
    graph = song()
    spoiled = {
        n: off_beat(right_bar(graph, n - 1, n), 0.5, StrikeFault("late", 0.0, "left", ms))
        for n, ms in ((2, 80.0), (3, 100.0))
    }
    assert report(judgement(graph, spoiled=spoiled), graph).fix_first == (
        "The left hand is about 90 ms late on beat 1 (Intro, bars 2 and 3).",
    )


def test_a_little_looseness_is_not_a_thing_to_put_right() -> None:
    graph = song()
    loose = StrikeFault("late", 0.0, "left", 40.0)
    spoiled = {2: off_beat(right_bar(graph, 1, 2), 0.9, loose)}
    told = report(judgement(graph, spoiled=spoiled), graph)
    assert told.fix_first == ()
    assert told.bars[1].faults == ()


def test_a_strike_plainly_off_the_beat_is_told_in_a_bar_that_is_else_in_time() -> None:
    """A sixth of a beat, 104 ms at 96 beats a minute, parts a swung from a straight eighth."""
    graph = song()
    for kind, ms, is_told in (
        ("late", 120.0, True),
        ("early", -120.0, True),
        ("late", 95.0, False),
    ):
        spoiled = {2: off_beat(right_bar(graph, 1, 2), 0.9, StrikeFault(kind, 2.0, "left", ms))}
        faults = report(judgement(graph, spoiled=spoiled), graph).bars[1].faults
        said = [fault.say for fault in faults]
        assert said == ([f"left hand 120 ms {kind} on beat 3"] if is_told else [])


def test_several_halts_are_one_thing_to_put_right() -> None:
    graph = song()
    form = [finding("break", [number], graph, halt=1.5) for number in (3, 7)]
    assert report(judgement(graph, form=form), graph).fix_first == (
        "Two halts, 3 seconds in all (Intro, bar 3; Verse 1, bar 7).",
    )


def test_halts_before_new_sections_are_said_to_be_there() -> None:
    graph = song()
    form = [finding("break", [number], graph, halt=3.0) for number in (5, 13, 21)]
    assert report(judgement(graph, form=form), graph).fix_first == (
        "Three halts, 9 seconds in all, each before a new section (bars 5, 13 and 21).",
    )


def test_halts_of_a_beat_each_ask_for_counting() -> None:
    graph = song()
    form = [finding("break", [number], graph, halt=0.65) for number in (5, 9, 13)]
    (told,) = report(judgement(graph, form=form), graph).fix_first
    assert told == (
        "Three halts of about a beat, each before a new line (Verse 1, bars 5 and 9; Chorus, bar "
        "13): count through to the next bar."
    )


def test_nothing_is_held_against_bars_that_could_not_be_followed() -> None:
    graph = song()
    spoiled = {6: lost(wrong_chord(right_bar(graph, 5, 6), "G"))}
    told = report(judgement(graph, spoiled=spoiled), graph)
    assert told.fix_first == ()
    assert [fault.say for fault in told.bars[5].faults] == ["could not follow here"]


def halting(mark: float, *aspects: TouchVerdict, **more: Any) -> Report:
    """A take of which the touch says that it halts."""
    graph = song()
    halts = TouchVerdict("hesitation", 9.0, "", 30.0, True, (3, 5), count=5, seconds=7.5)
    touch = Touch(mark, ("evenness",), (halts, *aspects))
    return report(replace(judgement(graph, **more), touch=touch), graph)


def test_what_does_not_go_on_comes_first_where_it_costs_most() -> None:
    spoiled = {7: wrong_chord(right_bar(song(), 6, 7), "G")}
    first, second = halting(40.0, spoiled=spoiled).fix_first
    assert first.startswith("Five hesitations, 7.5 seconds in all (")
    assert "instead of" in second
    assert "instead of" in halting(99.0, spoiled=spoiled).fix_first[0]


def test_halts_and_hesitations_are_one_thing() -> None:
    form = tuple(finding("break", [bar], song()) for bar in (4, 6))
    assert len(halting(40.0, form=form).fix_first) == 1


@pytest.mark.parametrize(
    ("hurries", "first"), [(0, "Five hesitations"), (2, "Five hesitations"), (3, "20 % of the")]
)
def test_where_as_much_comes_too_soon_it_does_not_halt_but_is_out_of_time(
    hurries: int, first: str
) -> None:
    astray = TouchVerdict("evenness", 20.0, "", 23.0, True, (3,), count=hurries)
    told = halting(23.0, astray)
    assert told.fix_first[0].startswith(first)
    assert any(one.startswith("Five hesitations") for one in told.touch.said)
