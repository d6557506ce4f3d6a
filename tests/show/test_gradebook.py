"""How does a class go into a spreadsheet?

CSV after RFC 4180, read back by Python's csv; what counts as a formula after OWASP, CSV
Injection. Columns are our own, no source.
"""

import csv
import io
from dataclasses import replace

import pytest

from evaluator.judge.rubric import STEADY
from evaluator.parts import PARTS
from evaluator.report.class_build import build_class
from evaluator.report.class_report import ClassTake
from evaluator.report.class_take import unread_take
from evaluator.show.gradebook import gradebook
from tests.report.builders import finding
from tests.report.class_builders import SONG, foreign, take


def rows(*takes: ClassTake) -> list[dict[str, str]]:
    content = b"".join(gradebook(build_class(SONG, takes, STEADY)))
    assert content.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def test_a_row_tells_the_marks_and_how_they_came_about() -> None:
    (row,) = rows(take("Anna", form=[finding("extra", [9, 10], SONG)]))
    assert row["student"] == "Anna"
    assert row["file"] == "Anna.mid"
    assert (row["overall"], row["passed"], row["status"]) == ("90.0", "yes", "graded")
    assert (row["bars missing"], row["bars extra"], row["restarts"]) == ("0", "2", "0")
    assert row["rubric"] == "steady"
    assert row["how the mark came about"] == "100"


def test_every_part_of_the_mark_has_its_column() -> None:
    (row,) = rows(take("Anna", touch=83.5))
    assert {part: row[part] for part in PARTS} == dict.fromkeys(PARTS, "100.0") | {"touch": "83.5"}


def test_a_touch_that_cannot_be_told_is_an_empty_cell() -> None:
    (row,) = rows(take("Anna"))
    assert row["touch"] == ""


def test_nothing_is_lost() -> None:
    found = rows(
        take("Anna", file="1.mid", overall=80.0),
        take("Anna", file="2.mid", overall=60.0),
        foreign("Leo"),
        unread_take(student="Zoe", file="z.mid", problem="z.mid is empty."),
    )
    assert [(row["file"], row["status"], row["overall"]) for row in found] == [
        ("1.mid", "graded", "80.0"),
        ("2.mid", "graded", "60.0"),
        ("Leo.mid", "another song", ""),
        ("z.mid", "unreadable", ""),
    ]
    assert [(row["best"], row["latest"], row["passed"]) for row in found] == [
        ("yes", "no", "yes"),
        ("no", "yes", "no"),
        ("", "", ""),
        ("", "", ""),
    ]
    assert found[3]["notes"] == "z.mid is empty."
    assert "does not sound like" in found[2]["notes"]


def test_the_same_recording_is_noted() -> None:
    (row,) = rows(replace(take("Anna"), same_as="Ben.mid"))
    assert row["notes"] == "The same recording as Ben.mid."


@pytest.mark.parametrize(
    "name",
    [
        "=HYPERLINK(1)",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "\t=1+1",
        "\r=1+1",
        "\n=1+1",
        " =1+1",
        "\u200b=1+1",
        "＝1+1",
        '=cmd|"/c calc"!A1',
    ],
)
def test_no_text_becomes_a_formula(name: str) -> None:
    (row,) = rows(take(name, file=f"{name}.mid"))
    for cell in (row["student"], row["file"]):
        assert cell.startswith("'")
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@", "\t")) for cell in row.values())


def test_names_with_commas_quotes_and_line_ends_stay_one_cell() -> None:
    (row,) = rows(take('Anna, "Änn"\nAppleby; jr.', file="a.mid"))
    assert row["student"] == 'Anna, "Änn" Appleby; jr.'


def test_every_text_is_in_quotation_marks_so_that_no_semicolon_parts_it() -> None:
    content = b"".join(gradebook(build_class(SONG, [take("Anna;=1+1")], STEADY))).decode(
        "utf-8-sig"
    )
    assert '"Anna;=1+1"' in content
