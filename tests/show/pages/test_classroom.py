"""The class page: what to teach again, everybody's marks, the heat of the bars."""

import re
from dataclasses import replace

import pytest

from evaluator.judge.rubric import STEADY, Rubric
from evaluator.report.class_build import build_class
from evaluator.report.class_report import ClassReport, ClassTake
from evaluator.report.class_take import class_take, unread_take
from evaluator.show.pages import class_page
from tests.playing import Fault, WrongBass, WrongChord
from tests.report.builders import marks
from tests.show.pages.takes import graded
from tests.show.pages.test_take import text

CLASS: dict[str, tuple[Fault, ...]] = {
    "Ada Brook": (),
    "Ben Castor": (WrongBass(2, "A"),),
    "Cleo Dahl": (WrongBass(2, "A"), WrongChord(3, "G")),
}


@pytest.fixture(scope="module")
def takes() -> list[ClassTake]:
    found = []
    for student, faults in CLASS.items():
        take = graded(*faults)
        kept = class_take(
            *(take.song.graph, take.judgement, take.report),
            student=student,
            file=f"{student} - monday.mid",
        )
        found.append(replace(kept, page=f"{student} - monday.html"))
    return found


def report(takes: list[ClassTake], rubric: Rubric = STEADY) -> ClassReport:
    return build_class(graded().song.graph, takes, rubric, roster=["Dov Ember"])


def test_lessons_are_told_with_whom_they_concern(takes: list[ClassTake]) -> None:
    told = report(takes)
    shown = text(class_page(told))
    assert told.lessons
    for lesson in told.lessons:
        assert lesson.say in shown
    assert "Ben Castor and Cleo Dahl" in shown


def test_each_bar_says_how_many_stumbled_and_on_what(takes: list[ClassTake]) -> None:
    page = class_page(report(takes))
    bars = re.findall(r'<li class="bar h(\d)">(.*?)</li>', page, flags=re.S)
    levels = [int(level) for level, _ in bars]
    assert len(bars) == 20
    assert text(bars[1][1]) == "Bar 2 2 of 3 stumbled A ▼ bass 2 bass A for C#"
    assert levels[:4] == [0, 3, 2, 0]
    assert "of 3" not in text(bars[0][1])


def test_marks_stand_by_student_with_links_beside_the_page(takes: list[ClassTake]) -> None:
    page = class_page(report(takes))
    links = re.findall(r'<a href="(\./[^"]*)"><bdi>([^<]*)', page)
    assert links == [(f"./{name.replace(' ', '%20')}%20-%20monday.html", name) for name in CLASS]


@pytest.mark.parametrize("name", ["javascript:alert(1)", "//elsewhere/x", "../../x", 'a"b', "#top"])
def test_a_link_never_leads_out_of_the_folder(takes: list[ClassTake], name: str) -> None:
    page = class_page(report([replace(takes[0], page=name)]))
    (link,) = re.findall(r'<a href="(\.[^"]*)"', page)
    assert re.fullmatch(r"\./[\w.%~-]+", link)


def test_best_and_latest_are_kept_apart(takes: list[ClassTake]) -> None:
    again = replace(takes[2], student="Ada Brook", file="Ada Brook - sunday.mid")
    shown = text(class_page(report([*takes, again])))
    assert "Ada Brook - monday.mid (best)" in shown
    assert "Ada Brook - sunday.mid (latest)" in shown


def test_files_without_a_take_and_absent_students_are_told(takes: list[ClassTake]) -> None:
    lost = unread_take(student="Edda Fenn", file="photo.mid", problem="It is a photograph.")
    page = class_page(report([*takes, lost]))
    shown = text(page)
    assert "Edda Fenn not marked photo.mid: could not be read; It is a photograph" in shown
    assert "Nothing came from <bdi>Dov Ember</bdi>." in page


def test_every_part_of_the_mark_has_its_column(takes: list[ClassTake]) -> None:
    page = class_page(report([replace(takes[0], marks=marks(91.3, 96, 95, 94, 93, 82))]))
    (roll,) = re.findall(r'<table class="roll">(.*?)</table>', page, flags=re.S)
    assert "Student Mark Chord Bass Rhythm Form Touch Ada Brook 91.3 96 95 94 93 82" in text(roll)


def test_every_row_of_the_marks_is_as_wide_as_the_head(takes: list[ClassTake]) -> None:
    lost = unread_take(student="Edda Fenn", file="photo.mid", problem="It is a photograph.")
    again = replace(takes[2], student="Ada Brook", file="Ada Brook - sunday.mid")
    page = class_page(report([*takes, again, lost]))
    (roll,) = re.findall(r'<table class="roll">(.*?)</table>', page, flags=re.S)
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", roll, flags=re.S)
    spans = [
        sum(int(span or 1) for span in re.findall(r'<t[hd](?:[^>]*colspan="(\d+)")?', row))
        for row in rows
    ]
    assert set(spans) == {7}


def test_a_mark_below_the_pass_mark_is_starred_and_said(takes: list[ClassTake]) -> None:
    fallen = [replace(take, passed=take.student == "Ada Brook") for take in takes]
    shown = text(class_page(report(fallen)))
    assert shown.count("*, not passed") == 0
    assert shown.count("* , not passed") == 2
    assert "* not passed: below the pass mark of 75, or less than 80 % of the song." in shown
    assert "below the pass" not in text(class_page(report(takes)))


def test_a_class_of_which_nothing_could_be_read_has_a_page(takes: list[ClassTake]) -> None:
    lost = unread_take(student="Edda Fenn", file="photo.mid", problem="It is a photograph.")
    shown = text(class_page(report([lost])))
    assert "One student, one take; none could be marked." in shown
    assert "Nothing that more than one student stumbled on." in shown


def test_files_are_named_without_the_folder_that_all_lie_in(takes: list[ClassTake]) -> None:
    first = replace(takes[0], file="handed in/Ada 1.mid")
    page = class_page(report([first, replace(first, file="handed in/Ada 2.mid")]))
    assert "Ada 1.mid" in page
    assert "handed in" not in page
