"""Do marks stand in the order in which teachers would put the takes, and pass what they would?

One song, played by the same student in many ways. Common practice, no source.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path
from re import sub
from typing import Any

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.judge import rubric as rubrics
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.rubric_text import read_rubric
from evaluator.report.model import Report
from tests.end_to_end.lesson import SONG, performed
from tests.end_to_end.test_whole_takes import OTHER_SONG
from tests.playing import Pause, WrongBass, WrongChord, to_midi

BARS = range(1, 48)
SIMPLER = [
    *(
        SONG.replace("right | . . x . . x x . |", f"right | {row} |")
        for row in (". . x . . . x .", "x . x . x . x .", "x x x x x x x x")
    ),
    *(
        sub(r"(left|right) +\| .* \|", rf"\1 | {row} |", SONG)
        for row in ("x . . . . . . .", "x . . . x . . .")
    ),
]
CONCERT_READY: Rubric = read_rubric(
    Path(rubrics.__file__).with_name("rubrics").joinpath("concert-ready.toml").read_text("utf-8"),
    file="concert-ready",
)


def take(
    text: str = SONG, *faults: Any, order: Sequence[int] | None = None, rubric: Rubric = STEADY
) -> Report:
    """The song graded as it was played from a chart of its own."""
    midi = to_midi(performed(text, *faults, order=order))
    return grade_fully(prepare(SONG), midi, rubric=rubric).report


def mark(*faults: Any, order: Sequence[int] | None = None) -> float:
    return take(SONG, *faults, order=order).marks.overall


def without(*gone: int) -> list[int]:
    return [bar for bar in BARS if bar not in gone]


def wrong_chords(bars: Iterable[int]) -> list[Any]:
    return [fault for bar in bars for fault in (WrongChord(bar, "Fm"), WrongBass(bar, "F"))]


THREE_IN_TEN = [bar for bar in BARS if bar % 10 in (2, 5, 8)]


def test_the_more_of_the_song_is_missing_the_lower_the_mark() -> None:
    faithful = mark()
    short_tail = mark(order=without(20))
    no_verse = mark(order=without(*range(21, 29)))
    half = mark(order=range(1, 24))
    assert 100.0 >= faithful > short_tail > no_verse > half
    assert faithful >= 95.0
    assert short_tail >= STEADY.pass_mark


def test_the_fewer_of_the_chords_are_right_the_lower_the_mark() -> None:
    faithful = mark()
    simpler = [take(text).marks.overall for text in SIMPLER]
    wrong = take(SONG, *wrong_chords(THREE_IN_TEN))
    assert faithful >= max(simpler)
    assert min(simpler) > wrong.marks.overall
    assert not wrong.reckoning.passed
    assert not take(OTHER_SONG).matches


@pytest.mark.parametrize("often", [5, 4, 3])
def test_the_count_of_right_bars_and_the_mark_agree(often: int) -> None:
    wrong = [bar for bar in BARS if bar % often == 0]
    report = take(SONG, *wrong_chords(wrong))
    right = len(BARS) - len(wrong)
    assert f"{right} of {len(BARS)} bars" in report.headline
    assert report.marks.overall <= 100 * right / len(BARS)


def test_half_of_the_song_is_marked_for_its_bars_and_does_not_pass() -> None:
    report = take(order=range(1, 24))
    assert not report.reckoning.passed
    assert report.reckoning.extent is not None
    assert report.reckoning.extent.share < 0.6


def test_a_section_left_out_does_not_pass_where_the_rubric_wants_the_whole() -> None:
    lacking = without(*range(21, 29))
    assert not take(order=lacking, rubric=CONCERT_READY).reckoning.passed


def test_three_bars_are_no_song() -> None:
    assert not take(order=range(1, 4)).reckoning.passed


def test_fifteen_halts_are_not_ready_for_a_concert() -> None:
    halts = [Pause(bar, 2.0, 1.0 + bar % 4) for bar in range(3, 47, 3)]
    assert len(halts) == 15
    assert take(SONG, rubric=CONCERT_READY).reckoning.passed
    assert not take(SONG, *halts, rubric=CONCERT_READY).reckoning.passed
    assert not take(SONG, *halts).reckoning.passed
