"""What is the report on this class? Our own rules, no source."""

from dataclasses import replace
from itertools import permutations

import pytest

from evaluator.judge.rubric import STEADY
from evaluator.report.class_build import build_class, natural
from evaluator.report.class_report import ClassReport, ClassTake
from evaluator.report.class_take import unread_take
from tests.report.builders import wrong_chord
from tests.report.class_builders import SONG, bar, foreign, take


def class_of(*takes: ClassTake, roster: tuple[str, ...] = ()) -> ClassReport:
    return build_class(SONG, takes, STEADY, chart_file="kettle_lane.txt", roster=roster)


def test_students_come_by_name_and_their_takes_by_file() -> None:
    report = class_of(
        take("Ben", file="b.mid"),
        take("anna", file="take 10.mid"),
        take("Anna", file="take 9.mid"),
    )
    files = [(s.name, [one.file for one in s.takes]) for s in report.students]
    assert files == [("Anna", ["take 9.mid", "take 10.mid"]), ("Ben", ["b.mid"])]


def test_one_student_is_known_however_the_name_is_spelt() -> None:
    report = class_of(
        take("anna müller", file="anna müller - lantern take 2.MID", overall=80.0),
        take("Anna Müller", file="Anna Müller - Lantern.mid", overall=90.0),
        take("Anna  Muller", file="AnnaMuller - take 3.mid", overall=85.0),
        take("Anna Müller", file="Anna Müller - take 10.mid", overall=70.0),
    )
    (student,) = report.students
    assert student.name == "Anna Müller"
    assert {one.student for one in student.takes} == {"Anna Müller"}


def test_a_take_without_a_number_comes_before_take_2() -> None:
    names = ["anna müller - lantern take 2.MID", "Anna Müller - Lantern.mid"]
    report = class_of(*(take(name.partition(" - ")[0], file=name) for name in names))
    (student,) = report.students
    assert [one.file for one in student.takes] == names[::-1]
    assert student.latest is student.takes[1]


def test_of_spellings_as_frequent_the_one_with_capitals_and_accents_is_shown() -> None:
    report = class_of(take("anna muller", file="1.mid"), take("Anna Müller", file="2.mid"))
    assert report.students[0].name == "Anna Müller"


def test_what_could_hardly_be_followed_teaches_nothing() -> None:
    wrong = {5: wrong_chord(bar(5), "G")}
    lost = replace(take("Ben", wrong), sure=False)
    report = class_of(take("Anna", wrong), lost)
    assert report.counted == 1
    assert report.lessons == ()
    assert len(report.students) == 2


def test_best_and_latest_are_kept_apart() -> None:
    report = class_of(
        take("Anna", file="take 1.mid", overall=91.0),
        take("Anna", file="take 2.mid", overall=95.0),
        take("Anna", file="take 3.mid", overall=88.0),
    )
    (student,) = report.students
    assert student.best is not None
    assert student.latest is not None
    assert (student.best.file, student.latest.file) == ("take 2.mid", "take 3.mid")


def test_the_earlier_of_equal_takes_is_the_best() -> None:
    report = class_of(take("Anna", file="2.mid"), take("Anna", file="1.mid"))
    assert report.students[0].best is report.students[0].takes[0]


def test_neither_another_song_nor_an_unreadable_file_is_best_or_latest() -> None:
    report = class_of(
        take("Anna", file="1.mid"),
        foreign("Anna", "2.mid"),
        unread_take(student="Anna", file="3.mid", problem="It is empty."),
    )
    (student,) = report.students
    assert student.best is student.latest is student.takes[0]
    assert [one.file for one in report.unreadable] == ["3.mid"]


def test_who_handed_in_nothing_that_counts_stands_there_without_a_best() -> None:
    report = class_of(foreign("Leo"))
    assert (report.students[0].best, report.students[0].latest, report.counted) == (None, None, 0)
    assert report.lessons == ()


def test_names_of_the_roster_from_whom_nothing_came_are_told() -> None:
    report = class_of(take("anna  appleby"), roster=("Zoe", "Anna Appleby", "Ben", "Zoe"))
    assert report.absent == ("Ben", "Zoe")


def test_any_order_of_the_files_gives_the_same_report() -> None:
    takes = [
        take("Anna", {5: wrong_chord(bar(5), "G")}, file="1.mid"),
        take("Anna", file="2.mid"),
        take("Ben", {5: wrong_chord(bar(5), "A")}, file="b.mid"),
        foreign("Leo"),
    ]
    reports = {repr(class_of(*order)) for order in permutations(takes)}
    assert len(reports) == 1


def test_a_student_counts_once_by_the_best_take() -> None:
    wrong = {5: wrong_chord(bar(5), "G")}
    report = class_of(
        take("Anna", wrong, file="1.mid", overall=80.0),
        take("Anna", file="2.mid", overall=95.0),
        take("Ben"),
    )
    assert report.counted == 2
    assert all(not section.heat.stumbled for section in report.sections)


def test_one_recording_from_two_students_counts_once() -> None:
    wrong = {5: wrong_chord(bar(5), "G")}
    copied = replace(take("Ben", wrong), same_as="Anna.mid")
    report = class_of(take("Anna", wrong), copied)
    assert report.counted == 1
    assert len(report.students) == 2


@pytest.mark.parametrize(
    "names",
    [
        ("take 2", "take 10"),
        ("Anna 1", "anna 2"),
        ("a", "a 1", "b"),
        ("2024-09-30", "2024-10-02"),
        ("x007", "x8"),
    ],
)
def test_names_sort_as_people_sort_them(names: tuple[str, ...]) -> None:
    backwards = names[::-1]
    assert sorted(backwards, key=natural) == list(names)


def test_what_differs_only_in_case_has_a_fixed_order() -> None:
    assert sorted(["a", "A"], key=natural) == sorted(["A", "a"], key=natural)
