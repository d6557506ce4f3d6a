"""The sign that bars come again stands for their notes: `measure-repeat` of MusicXML 4.0 (W3C),
printed by programs with rests or with nothing under it."""

import pytest

from evaluator.notation import import_score
from tests.notation.sheets import chord, note, piano

FIRST = ("".join(note(key, 1) for key in ("C5", "D5", "E5", "F5")), note("C3", 2) + note("G3", 2))
SECOND = ("".join(note(key, 1) for key in ("G5", "F5", "E5", "D5")), note("G2"))
REST = (note("rest"), note("rest"))
NOTHING = ("", "")


def sign(kind: str, bars: str = "", staff: int = 0) -> str:
    number = f' number="{staff}"' if staff else ""
    repeat = f'<measure-repeat type="{kind}">{bars}</measure-repeat>'
    return f"<attributes><measure-style{number}>{repeat}</measure-style></attributes>"


def marked(bar: tuple[str, str], *signs: str) -> tuple[str, str]:
    return "".join(signs) + bar[0], bar[1]


def cells(*bars: tuple[str, str]) -> list[tuple[str, str]]:
    """The right and the left hand of every bar."""
    text = import_score(piano(*bars), name="x").text
    rows = {
        hand: "|".join(
            line.partition("|")[2].rstrip(" |")
            for line in text.splitlines()
            if line.split()[:1] == [hand]
        )
        for hand in ("right", "left")
    }
    right, left = ([" ".join(one.split()) for one in row.split("|")] for row in rows.values())
    return list(zip(right, left, strict=True))


ONE, TWO = ("C5 D5 E5 F5", "C3 - G3 -"), ("G5 F5 E5 D5", "G2")


@pytest.mark.parametrize("empty", [REST, NOTHING], ids=["rests", "nothing"])
def test_a_bar_comes_again_until_the_sign_ends(empty: tuple[str, str]):
    bars = [FIRST, marked(empty, sign("start", "1")), empty, marked(SECOND, sign("stop"))]
    assert cells(*bars) == [ONE, ONE, ONE, TWO]


def test_two_bars_come_again():
    bars = [FIRST, SECOND, marked(REST, sign("start", "2")), REST, marked(FIRST, sign("stop"))]
    assert cells(*bars) == [ONE, TWO, ONE, TWO, ONE]


def test_one_staff_comes_again_under_another_tune():
    tune = (SECOND[0], REST[1])
    bars = [FIRST, marked(tune, sign("start", "1", staff=2)), marked(SECOND, sign("stop", staff=2))]
    assert cells(*bars) == [ONE, (TWO[0], ONE[1]), TWO]


def test_notes_that_are_printed_count_and_not_the_sign():
    bars = [FIRST, marked(SECOND, sign("start", "1")), marked(FIRST, sign("stop"))]
    assert cells(*bars) == [ONE, TWO, ONE]


def test_the_chords_come_again_with_the_bar():
    symbols = chord("C") + note("E4", 2) + chord("F") + note("F4", 2)
    bars = [(symbols, note("C3")), marked(REST, sign("start", "1"))]
    text = import_score(piano(*bars), name="x").text
    assert " ".join(text.split()).count("C F") == 2


@pytest.mark.parametrize("bars", ["", "x", "0", "99", "1e9"])
def test_an_odd_number_of_bars_does_no_harm(bars: str):
    assert len(cells(FIRST, marked(REST, sign("start", bars)), SECOND)) == 3
