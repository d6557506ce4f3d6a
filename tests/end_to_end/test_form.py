"""The form from end to end: every bar there, none missing and none too many, and told where.

The numbers of bars are those of the song in `lesson.py`. Own rules, no source.
"""

from typing import Any

import pytest

from tests.end_to_end.conftest import Student
from tests.end_to_end.lesson import Graded
from tests.playing import Pause, Restart

TAIL_1, TAIL_2 = range(17, 21), range(41, 45)
"""Tails of Chorus 1, four bars, and Chorus 2, two to four."""


def only_finding(played: Graded) -> dict[str, Any]:
    """The one thing held against the form; nothing is held against a bar."""
    assert played.faults == {}
    (finding,) = played.findings
    return finding


def test_a_tail_one_bar_short_is_missing_a_bar(student: Student) -> None:
    found = only_finding(student(without=[20]))
    assert (found["kind"], found["count"], found["section"]) == ("missing", 1, "Chorus 1")
    assert found["tail"] is True
    assert set(found["bars"]) <= set(TAIL_1)
    assert found["say"].startswith("Chorus 1, the tail: three bars of D where the chart has four")


def test_a_tail_two_bars_short_is_missing_two(student: Student) -> None:
    found = only_finding(student(without=[19, 20]))
    assert (found["kind"], found["count"], found["tail"]) == ("missing", 2, True)
    assert found["say"].startswith("Chorus 1, the tail: two bars of D where the chart has four")


def test_a_tail_one_bar_long_has_an_extra_bar(student: Student) -> None:
    found = only_finding(student(order=[*range(1, 21), 20, *range(21, 48)]))
    assert (found["kind"], found["count"], found["section"]) == ("extra", 1, "Chorus 1")
    assert found["tail"] is True
    assert found["say"].startswith("Chorus 1, the tail: five bars of D where the chart has four")


def test_the_second_chorus_is_told_from_the_first(student: Student) -> None:
    order = [*range(1, 41), *TAIL_2, 44, 45, 46, 47]
    found = only_finding(student(order=order))
    assert (found["kind"], found["count"], found["section"]) == ("extra", 1, "Chorus 2")
    assert found["tail"] is True


@pytest.mark.parametrize("times", [2, 3, 4])
def test_any_number_of_the_range_is_right(student: Student, times: int) -> None:
    played = student(order=[*range(1, 41), *TAIL_2[:times], 45, 46, 47])
    assert played.flawless
    assert played.choices == ([("times", list(TAIL_2[times:]))] if times < 4 else [])
    assert played.fields["scores"]["form"] == 100


def test_less_than_the_range_is_missing_a_bar(student: Student) -> None:
    found = only_finding(student(order=[*range(1, 42), 45, 46, 47]))
    assert (found["kind"], found["count"], found["section"]) == ("missing", 1, "Chorus 2")
    assert found["say"].startswith(
        "Chorus 2, the tail: one bar of D where the chart has at least two"
    )


@pytest.mark.parametrize(
    ("line", "choices"), [((5, 6, 7, 8), []), ((-5, -6, -7, -8), [("or line", [5, 6, 7, 8])])]
)
def test_an_or_line_is_right_either_way(
    student: Student, line: tuple[int, ...], choices: list[tuple[str, list[int]]]
) -> None:
    played = student(order=[1, 2, 3, 4, *line, *range(9, 48)])
    assert played.flawless
    assert played.choices == choices


def test_an_optional_section_may_be_left_out(student: Student) -> None:
    played = student(without=range(29, 33))
    assert played.flawless
    assert played.choices == [("left out", [29, 30, 31, 32])]


def test_a_section_that_is_not_optional_is_missing(student: Student) -> None:
    found = only_finding(student(without=range(21, 29)))
    assert (found["kind"], found["bars"], found["detail"]) == (
        "missing",
        list(range(21, 29)),
        "section",
    )
    assert found["say"] == "Verse 2 left out (bars 21 to 28)."


def test_the_bar_of_two_beats_takes_two_beats(student: Student) -> None:
    played = student()
    short, before = played.fields["bars"][14], played.fields["bars"][13]
    assert short["bar"] == 15
    assert short["end"] - short["start"] == pytest.approx(2 * 60 / 96, rel=0.08)
    assert before["end"] - before["start"] == pytest.approx(4 * 60 / 96, rel=0.08)


def test_the_bar_of_two_beats_is_missed(student: Student) -> None:
    found = only_finding(student(without=[15]))
    assert (found["kind"], found["bars"], found["section"]) == ("missing", [15], "Chorus 1")
    assert found["tail"] is False


def test_a_bar_left_out_of_a_verse_is_told_with_its_words(student: Student) -> None:
    found = only_finding(student(without=[26]))
    assert (found["kind"], found["bars"], found["section"]) == ("missing", [26], "Verse 2")
    assert found["say"] == 'Verse 2: bar 26 is missing ("seven leaning on the wall").'


def test_a_line_played_twice_is_extra(student: Student) -> None:
    found = only_finding(student(order=[*range(1, 25), *range(21, 48)]))
    assert (found["kind"], found["bars"], found["detail"]) == ("extra", [21, 22, 23, 24], "line")


def test_a_restart_after_a_break_says_where_it_went_on(student: Student) -> None:
    played = student(Restart(13, 2.5, 2.0), order=[*range(1, 14), *range(13, 48)])
    found = only_finding(played)
    assert (found["kind"], found["bars"][0], found["section"]) == ("restart", 13, "Chorus 1")
    assert found["halt"] == pytest.approx(2.0, abs=0.5)
    assert played.order == [*range(1, 14), *range(13, 48)]


def test_a_restart_at_the_beginning_of_the_line(student: Student) -> None:
    played = student(Restart(24, 2.5, 2.0), order=[*range(1, 25), *range(21, 48)])
    found = only_finding(played)
    assert (found["kind"], found["bars"][0], found["detail"]) == ("restart", 21, "line")


def test_a_halt_that_keeps_the_place_is_a_break(student: Student) -> None:
    found = only_finding(student(Pause(14, 2.0, 1.5)))
    assert (found["kind"], found["bars"]) == ("break", [14])
    assert found["halt"] == pytest.approx(1.5, abs=0.3)


def test_a_missing_bar_and_a_doubled_one_are_two_findings(student: Student) -> None:
    played = student(order=[*range(1, 26), *range(27, 37), 36, *range(37, 48)])
    assert [(one["kind"], one["count"]) for one in played.findings] == [
        ("missing", 1),
        ("extra", 1),
    ]
    assert [one["section"] for one in played.findings] == ["Verse 2", "Chorus 2"]
