"""What stands on the board in a lesson? Rules of this program, no outside source."""

import re
from dataclasses import replace

import pytest

from evaluator.live.lesson import Wishes
from evaluator.show.glyphs import glyphs_for
from evaluator.show.lesson import ENDING, LessonPage, lay_lesson, lesson_news
from evaluator.show.page import Sheet, cells
from tests.cli.commands import CHART
from tests.live.lessons import Room, drill
from tests.live.student import GOOD, Student, Time
from tests.playing import WrongBass

BAD = Time(faults=(WrongBass(2, "A"),))


@pytest.fixture(scope="module")
def pages() -> list[LessonPage]:
    """A lesson of half a minute: a bad time through, and good ones."""
    student = Student(CHART, (4, 5), [BAD, *[GOOD] * 4])
    room = Room([drill(CHART, "5-6", start=88)], student, Wishes())
    room.pass_time(30)
    return [page for _, page in room.pages]


def text(page: LessonPage, width: int = 80, height: int = 40, encoding: str = "utf-8") -> list[str]:
    lines = lay_lesson(page, Sheet(width, glyphs_for(encoding), encoding), height)
    return ["".join(piece for piece, _ in line) for line in lines]


@pytest.mark.parametrize("width", [40, 60, 80, 140])
@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_no_line_is_wider_than_the_sheet_and_none_too_many(
    pages: list[LessonPage], width: int, encoding: str
) -> None:
    for page in pages[::5]:
        for height in (8, 24):
            found = text(page, width, height, encoding)
            assert len(found) <= height
            assert max(map(cells, found)) <= width


def test_the_passage_stands_there_with_its_words_and_marks(pages: list[LessonPage]) -> None:
    page = next(page for page in pages if any("First time" in said for said in page.said))
    found = text(page)
    assert found[0].startswith("Copper Kettle Row")
    assert found[0].endswith("tempo 88 (chart 96)")
    assert found[1].startswith("bars 5 and 6 (Verse)")
    assert found[1].endswith("good in a row: 0 of 3")
    assert any("somebody's humming" in line for line in found)
    marked = next(line for line in found if "5 ok" in line)
    assert "6 ▼" in marked
    assert any("First time: bar 6, bass A instead of C#" in line for line in found)
    assert ENDING in found[-1]


def test_marks_are_those_of_the_last_time_through_alone(pages: list[LessonPage]) -> None:
    page = next(page for page in pages if any("Second time" in said for said in page.said))
    bars = [line for line in text(page) if re.match(r" *5 ", line)]
    assert [line.split() for line in bars] == [["5", "ok", "6", "ok"]]


def test_the_count_stands_there_as_it_is_counted(pages: list[LessonPage]) -> None:
    counted = [text(page) for page in pages if page.state == "counting"]
    assert any("1 2 3" in line for found in counted for line in found)


def test_a_screen_reader_is_told_each_sentence_once_and_the_count(pages: list[LessonPage]) -> None:
    said: list[str] = []
    before = None
    for page in pages:
        said += lesson_news(page, before)
        before = page
    assert said.count("Counting in at 88.") == 1
    assert said.count("First time: bar 6, bass A instead of C#; the rest right.") == 1
    assert said.index("Play any note when you are ready, and one bar is counted in.") < said.index(
        "Counting in at 88."
    )


def test_a_piano_that_went_and_came_back_is_told(pages: list[LessonPage]) -> None:
    away = replace(pages[-1], state="away")
    assert list(lesson_news(away, pages[-1])) == [
        "The piano is gone. Plug it in again; nothing is lost."
    ]
    assert list(lesson_news(replace(pages[-1], state="ready"), away)) == ["The piano is back."]
