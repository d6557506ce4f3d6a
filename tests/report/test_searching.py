"""A hand that searches for its chords is told so once. Common practice of teaching, no source."""

from evaluator.grading import grade_take, prepare
from evaluator.report.model import Report
from evaluator.report.searching import searching
from tests.bench.by_hand import Script, played
from tests.bench.habits import Habits
from tests.judge.songs import song, take
from tests.playing import Late

SLOWLY = {"tempo": 0.75}


def report(habits: Habits) -> Report:
    found = played(Script("a take", "kettle_lane", bars="5-32", manner=SLOWLY, habits=habits))
    return grade_take(prepare(found.chart_text), found.midi_bytes)


def test_both_hands_that_search_are_one_thing_and_not_a_list_of_beats() -> None:
    told = report(Habits(searching=("left", "right"), search_ms=320.0)).fix_first
    assert told[0].startswith("Both hands search for their chords at the changes, up to 0.")
    assert told[0].endswith("practise the changes on their own.")
    assert not any("late on beat" in one or "come clearly" in one for one in told)


def test_one_hand_that_searches_is_named() -> None:
    told = report(Habits(searching=("right",), search_ms=320.0)).fix_first
    assert told[0].startswith("The right hand searches for its chord at the changes")


def test_a_hand_that_is_always_behind_does_not_search() -> None:
    told = report(Habits(behind_ms={"right": 110.0})).fix_first
    assert not any("search" in one for one in told)


def test_a_hand_that_is_late_whether_the_chord_changes_or_not_does_not_search() -> None:
    late = [Late(bar, beat, "left", 130.0) for bar in range(1, 11) for beat in (0.0, 2.0)]
    assert searching(song(), take(*late)) is None


def test_a_hand_that_is_late_at_changes_alone_searches() -> None:
    changes = [Late(bar, 0.0, "left", 130.0) for bar in range(1, 11)]
    found = searching(song(), take(*changes))
    assert found is not None
    assert found.hands == ("left",)
