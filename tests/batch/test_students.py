"""Whose take is this? File names as students give them, own rules, no source."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.batch.students import LONGEST, Row, read_roster, student_of
from evaluator.errors import RosterError
from tests.fuzz.promises import check_refusal


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("Anna Appleby - kettle lane.mid", "Anna Appleby"),
        ("Anna Appleby - kettle - take 2.mid", "Anna Appleby"),
        ("Anna Appleby – kettle lane.mid", "Anna Appleby"),
        ("folder/Anna  Appleby - x.mid", "Anna Appleby"),
        ("folder\\Anna - x.mid", "Anna"),
        ("Anna-Lena Fröhlich.MID", "Anna-Lena Fröhlich"),
        ("take_7.mid", "take_7"),
        ("Anna -.mid", "Anna -"),
        (" - x.mid", " - x"),
        (".mid", ".mid"),
    ],
)
def test_the_name_is_what_stands_before_the_dash(file: str, name: str) -> None:
    assert student_of(file) == name


def test_a_name_is_the_same_from_any_system() -> None:
    apart = unicodedata.normalize("NFD", "Zoë - x.mid")
    assert student_of(apart) == student_of("Zoë - x.mid") == "Zoë"


ROSTER = (
    Row("anna*.mid", "Anna Appleby"),
    Row("*7*", "Number Seven"),
    Row("b2/*", "Second Row"),
)


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("ANNA_take.MID", "Anna Appleby"),
        ("anna7.mid", "Anna Appleby"),
        ("x7.mid", "Number Seven"),
        ("class/b2/x.mid", "Second Row"),
        ("class/7/x.mid", "x"),
        ("Ben - x.mid", "Ben"),
    ],
)
def test_the_first_pattern_that_fits_decides(file: str, name: str) -> None:
    assert student_of(file, ROSTER) == name


@pytest.mark.parametrize(
    "text",
    [
        'pattern,name\nanna*,Anna Appleby\n\nb*,"Ben, junior"\n',
        "\ufeffpattern;name\r\nanna*;Anna Appleby\r\nb*;Ben, junior\r\n",
        "Name\tPattern\nAnna Appleby\tanna*\nBen,  junior\tb*",
        'pattern,name,note\n"anna*" , Anna Appleby,x\nb*,"Ben, junior"\n',
    ],
)
def test_rosters_as_spreadsheets_write_them(text: str) -> None:
    if "note" in text:
        text = text.replace('"anna*" ,', "anna*,")
    assert read_roster(text) == (Row("anna*", "Anna Appleby"), Row("b*", "Ben, junior"))


def refused(text: str) -> list[tuple[int, str]]:
    with pytest.raises(RosterError) as caught:
        read_roster(text, file="roster.csv")
    return [(one.line, one.message) for one in caught.value.mistakes]


def test_all_mistakes_are_told_with_their_lines() -> None:
    text = "pattern,name\na*,Anna\n,Ben\nc*\n\nA*,Other\n" + "d*," + "x" * 300
    assert refused(text) == [
        (3, "there is no pattern in this row"),
        (4, "there is no name for `c*`"),
        (6, "`A*` is listed twice; the first is for Anna"),
        (7, "a name of 300 letters is too long"),
    ]


def test_a_line_is_counted_although_a_name_before_it_takes_two() -> None:
    assert refused('pattern,name\na*,"An\nna"\n,Ben\n')[0][0] == 4


def test_columns_that_are_not_there_are_told() -> None:
    assert refused("file,student\na,b\n") == [
        (1, "the first line names no column `pattern` and no `name`")
    ]
    assert refused("\n \n") == [(1, "the roster is empty")]


def test_what_no_table_can_hold_is_told_with_its_file() -> None:
    with pytest.raises(RosterError, match=r"^roster\.csv:1:1: this row cannot be read"):
        read_roster('pattern,name,"' + "x" * 200_000, file="roster.csv")


def test_what_no_table_can_hold_is_told_with_its_line() -> None:
    (mistake,) = refused("pattern,name\n" + '"' + "x" * 200_000 + '",y\n')
    assert mistake[0] == 2


PIECES = [
    "pattern",
    "name",
    ",",
    ";",
    "\t",
    "\n",
    "\r",
    '"',
    "*",
    "[",
    "a*",
    "Anna",
    " ",
    "\x00",
    "é",
]


@given(st.lists(st.sampled_from(PIECES), max_size=40).map("".join) | st.text(max_size=80))
def test_any_text_is_a_roster_or_mistakes_with_their_lines(text: str) -> None:
    for given_text in (text, "pattern,name\n" + text):
        try:
            roster = read_roster(given_text, file="roster.csv")
        except RosterError as error:
            check_refusal(error)
        else:
            assert all(row.pattern and 0 < len(row.name) <= LONGEST for row in roster)
            student_of("class/Anna - take.mid", roster)


@given(st.text(min_size=1, max_size=40))
def test_every_file_is_somebodys(path: str) -> None:
    assert student_of(path, ROSTER)
