"""The pattern from end to end. Common practice, no source; tolerances are tested by themselves."""

import pytest

from tests.end_to_end.conftest import Student
from tests.playing import Added, Early, Late, Missed


@pytest.mark.parametrize(
    ("beat", "hand", "said"),
    [
        (1.0, "right", "right hand misses beat 2"),
        (2.5, "right", "right hand misses the and of 3"),
        (2.0, "left", "left hand misses beat 3"),
    ],
)
def test_a_missed_strike_is_named(student: Student, beat: float, hand: str, said: str) -> None:
    assert student(Missed(10, beat, hand)).faults == {10: [said]}  # type: ignore[arg-type]


def test_an_early_strike_is_named(student: Student) -> None:
    played = student(Early(11, 2.5, "right", 150.0))
    (fault,) = played.fields["bars"][10]["rhythm"]["early"]
    assert (fault["beat"], fault["hand"]) == (3.5, "right")
    assert fault["ms"] == pytest.approx(-150, abs=25)
    assert list(played.faults) == [11]
    assert played.faults[11][0].endswith("ms early on the and of 3")


def test_a_late_strike_is_named(student: Student) -> None:
    played = student(Late(12, 2.0, "left", 150.0))
    (fault,) = played.fields["bars"][11]["rhythm"]["late"]
    assert (fault["beat"], fault["hand"]) == (3, "left")
    assert fault["ms"] == pytest.approx(150, abs=25)
    assert list(played.faults) == [12]
    assert played.faults[12][0].endswith("ms late on beat 3")


def test_an_added_strike_is_found(student: Student) -> None:
    added = student(Added(22, 1.0, "left")).fields["bars"][21]["rhythm"]["added"]
    assert added == [{"beat": 2, "hand": "left"}]


def test_rhythm_faults_leave_chord_bass_and_form_alone(student: Student) -> None:
    scores = student(Missed(10, 1.0, "right"), Late(12, 2.0, "left", 150.0)).fields["scores"]
    assert scores["rhythm"] < 99.5
    assert (scores["chord"], scores["bass"], scores["form"]) == (100, 100, 100)


def test_a_take_as_uneven_as_a_student_s_is_still_in_time(student: Student) -> None:
    played = student(jitter_ms=15.0, spread_ms=12.0, wander_pct=2.0)
    assert (played.faults, played.findings) == ({}, [])
