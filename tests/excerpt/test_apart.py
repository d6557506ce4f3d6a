"""Hands practised apart before they play together: common practice among teachers, no source."""

import pytest

from evaluator.grading import grade_take, prepare
from evaluator.report.model import Report
from tests.bench.by_hand import Script, only, played
from tests.playing import Pause, WrongChord

CHART = "mill_wheel"


def graded(bars: str, *, faults: tuple[object, ...] = (), after: tuple[object, ...] = ()) -> Report:
    take = played(Script("", CHART, bars=bars, faults=faults, after=after))  # type: ignore[arg-type]
    return grade_take(prepare(take.chart_text), take.midi_bytes)


def test_hands_apart_are_said_and_held_against_nobody() -> None:
    report = graded(
        "1-8 1-8 1-26",
        faults=(Pause(9, 0.0, 3.0), Pause(17, 0.0, 3.0)),
        after=(only("right", last=8), only("left", first=9, last=16)),
    )
    assert report.headline == "Well played: all 26 bars right, none missing and none too many."
    assert report.remarks == (
        "The hands were practised separately first (right hand, bars 1 to 8; left hand, bars 1 to "
        "8); the mark is for what was played hands together.",
    )
    assert not report.form
    assert report.marks.overall > 95


def test_hands_may_be_apart_in_each_section() -> None:
    report = graded(
        "1-8 1-8 9-16 9-26",
        faults=tuple(Pause(bar, 0.0, 3.0) for bar in (9, 17, 25)),
        after=(only("right", last=8), only("left", first=17, last=24)),
    )
    assert report.remarks[0].startswith(
        "The hands were practised separately first (right hand, bars 1 to 8; left hand, bars 9 to "
        "16)"
    )
    assert not [one for one in report.form if one.finding.kind == "restart"]


def test_what_is_wrong_with_both_hands_still_counts() -> None:
    report = graded(
        "1-8 1-26",
        faults=(Pause(9, 0.0, 3.0), WrongChord(10, "G")),
        after=(only("right", last=8),),
    )
    assert report.remarks[0].startswith(
        "The hands were practised separately first (right hand, bars 1"
    )
    assert report.fix_first[0].startswith("Verse 1, bar 2")


@pytest.mark.parametrize("after", [(), (only("right", first=9, last=16),)])
def test_both_hands_first_is_no_practising_apart(after: tuple[object, ...]) -> None:
    report = graded("1-8 1-8 9-26", faults=(Pause(9, 0.0, 3.0),), after=after)
    assert [one.finding.kind for one in report.form] == ["restart"]
