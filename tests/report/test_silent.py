"""A hand that rests is one thing to learn. Common practice of teaching, no source."""

from evaluator.chart.graph import Hand
from evaluator.grading import grade_take, prepare
from evaluator.report.model import Report
from tests.bench.by_hand import Script, only, played


def report(hand: Hand, first: int, last: int, *, chart: str = "quarry_road") -> Report:
    take = played(Script("a take", chart, after=(only(hand, first=first, last=last),)))
    return grade_take(prepare(take.chart_text), take.midi_bytes)


def test_a_verse_without_the_right_hand_is_one_thing_to_put_right() -> None:
    told = report("left", 29, 44)
    assert told.fix_first == ("The right hand does not play (Verse 2).",)


def test_a_fifth_in_the_left_hand_alone_is_no_chord_that_lacks_its_third() -> None:
    told = report("left", 29, 44)
    assert told.headline.startswith("Coming along: 40 of 56 bars with the right chords and bass, ")
    assert "missing" not in told.headline


def test_a_line_without_the_left_hand_is_told_by_its_bars() -> None:
    assert report("right", 21, 24).fix_first == (
        "The left hand does not play (Chorus 1, bars 21 to 24).",
    )


def test_one_bar_is_a_chord_that_was_not_played() -> None:
    fixes = report("left", 31, 31).fix_first
    assert not any("does not play" in fix for fix in fixes)
