"""How does a class look in a terminal? Layout and wordings of our own, no source."""

import io
from dataclasses import replace

import pytest

from evaluator.judge.rubric import STEADY
from evaluator.report.class_build import build_class
from evaluator.report.class_report import ClassReport, ClassTake
from evaluator.report.class_take import unread_take
from evaluator.show.glyphs import UNICODE
from evaluator.show.page import Sheet, cells
from evaluator.show.terminal import print_class
from tests.report.builders import finding, root_for_bass, wrong_chord
from tests.report.class_builders import SONG, bar, foreign, take

ROOTS = {6: root_for_bass(bar(6), "C#", "A")}
TAKES = (
    take("Anna Appleby", ROOTS, file="takes/Anna 1.mid", overall=91.26),
    take("Anna Appleby", file="takes/Anna 2.mid", overall=80.0),
    take("Ben", ROOTS | {7: wrong_chord(bar(7), "G")}, file="takes/Ben.mid", overall=60.0),
    take("Carl", form=[finding("extra", [9], SONG)], file="takes/Carl.mid"),
    foreign("Leo", "takes/Leo.mid"),
    unread_take(student="Zoe", file="takes/Zoe.mid", problem="takes/Zoe.mid is empty."),
)


def class_of(*takes: ClassTake) -> ClassReport:
    return build_class(SONG, takes or TAKES, STEADY, roster=("Yves",))


def shown(report: ClassReport | None = None, width: int = 80, *, ascii_only: bool = False) -> str:
    from evaluator.show.class_table import class_page

    sheet = Sheet(width) if ascii_only else Sheet(width, UNICODE, "utf-8")
    lines = class_page(report or class_of(), sheet)
    return "\n".join("".join(text for text, _ in line) for line in lines)


def row(name: str, text: str) -> list[str]:
    return next(line for line in text.splitlines() if line.startswith(name)).split()


def test_who_came_and_who_passed_is_told_first() -> None:
    assert shown().splitlines()[:5] == [
        "Kettle Lane: the class",
        "5 students, 6 takes; rubric: steady, pass mark 75.",
        "By their best takes 2 of 3 passed; half of them have 90 or more.",
        "Not there yet: Ben.",
        "Nothing came from Yves.",
    ]


def test_a_row_has_the_best_marks_and_the_next_the_latest() -> None:
    text = shown()
    assert row("Anna Appleby", text)[2:] == ["91.3", "100", "100", "100", "100", "0.0"]
    assert row("  latest", text)[:2] == ["latest", "80.0"]
    assert "best: Anna 1.mid\n" in text
    assert "latest: Anna 2.mid\n" in text


def test_the_touch_stands_with_the_other_marks() -> None:
    text = shown(class_of(take("Anna Appleby", touch=83.5)))
    titles = ["Student", "Mark", "Chord", "Bass", "Rhythm", "Form", "Touch", "Bars", "Min"]
    assert row("Student", text) == titles
    assert row("Anna Appleby", text)[2:] == ["90.0", "100", "100", "100", "100", "84", "0.0"]


def test_the_touch_is_the_first_to_go_where_the_terminal_is_narrow() -> None:
    widths = range(79, 40, -1)
    gone = [
        set(row("Student", shown(width=79))) - set(row("Student", shown(width=w))) for w in widths
    ]
    assert next(titles for titles in gone if titles) == {"Touch"}


def test_bars_too_many_stand_in_the_row() -> None:
    assert "+1" in row("Carl", shown())


def test_what_is_no_take_of_the_song_says_so() -> None:
    assert "Another song: nothing is marked." in shown()


def test_files_that_could_not_be_read_are_listed_with_the_reason() -> None:
    assert "Could not be read\n  takes/Zoe.mid is empty." in shown()


def test_what_to_teach_again_is_told_with_the_names() -> None:
    assert (
        "  1. The bass C# under A (Verse 1, bar 6): 2 of 3 students play the root.\n"
        "     Anna Appleby and Ben\n"
    ) in shown(width=100)


def test_each_bar_has_its_number_and_the_students_who_stumbled() -> None:
    text = shown()
    assert "6 ▼2" in text
    assert "7 ◆1" in text
    assert "    bar 6, bass A for C#: 2 students" in text
    assert "[Verse 1] 3 of 3 stumbled" in text
    assert "[Intro] all 3 got through" in text


def test_without_colour_or_unicode_nothing_is_lost() -> None:
    assert "6 _2" in shown(ascii_only=True)


@pytest.mark.parametrize("width", [40, 60, 80, 100, 140, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    names = [replace(one, student=f"{one.student} of the long name, the second") for one in TAKES]
    for report in (class_of(), class_of(*names)):
        assert max(cells(line) for line in shown(report, width).splitlines()) <= width


def test_the_name_and_the_mark_stay_however_narrow_it_is() -> None:
    assert "91.3" in row("Anna", shown(width=40))


def test_a_wide_terminal_has_the_files_beside_the_marks() -> None:
    assert row("Ben", shown(width=140))[-1] == "Ben.mid"


def test_a_class_of_one_has_nothing_to_teach_a_class() -> None:
    assert "Teach this again" not in shown(class_of(TAKES[0]))


def test_a_class_without_any_take_of_the_song_is_told() -> None:
    text = shown(class_of(TAKES[4], TAKES[5]))
    assert "Where the class stumbles" not in text
    assert "2 students, 2 takes" in text


def test_plain_is_one_sentence_a_take_and_a_bar() -> None:
    stream = io.StringIO()
    print_class(class_of(), stream, plain=True, passed_over=["notes.pdf"])
    text = stream.getvalue()
    assert "Anna Appleby, takes/Anna 1.mid, best: 91.3 of 100, passed, overall 91, chord" in text
    assert "Zoe, takes/Zoe.mid: Could not be read. takes/Zoe.mid is empty.\n" in text
    assert "bar 6, Verse 1: 2 of 3 stumbled: bass 2; most often bass A for C#\n" in text
    assert text.endswith("Skipped, since they are not takes: notes.pdf.\n")
    assert text.isascii()


def test_hostile_names_are_only_names() -> None:
    text = shown(class_of(replace(TAKES[0], student="[bold]\x1b[2J:smile:", file="\u202ex.mid")))
    assert "[bold][2J:smile:" in text
    assert "\x1b" not in text
    assert "\u202e" not in text
