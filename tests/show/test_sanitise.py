"""Texts from strangers on a screen.

Categories after the Unicode Character Database; the escape sequences after ECMA-48.
"""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.show.sanitise import clean, clean_lines

RIGHT_TO_LEFT_OVERRIDE = "\u202e"
ZERO_WIDTH_SPACE = "\u200b"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Kettle Lane", "Kettle Lane"),
        ("\x1b[2Jgone", "[2Jgone"),
        ("\x1b]0;title\x07", "]0;title"),
        ("\x9b31mred", "31mred"),
        (f"gpj.{RIGHT_TO_LEFT_OVERRIDE}mid", "gpj.mid"),
        (f"a{ZERO_WIDTH_SPACE}b", "ab"),
        ("two\nlines\tand\u2028more", "two lines and more"),
        ("B♭ – Größe – 鍋 – שיר", "B♭ – Größe – 鍋 – שיר"),
        ("\udcff.mid", "?.mid"),
        ("[bold]x[/]", "[bold]x[/]"),
    ],
)
def test_only_visible_signs_are_left(text: str, shown: str) -> None:
    assert clean(text) == shown


def test_accents_do_not_pile_up_over_the_lines_above() -> None:
    assert clean("e" + "\u0301" * 50) == "e" + "\u0301" * 3


def test_a_caret_stays_under_its_place() -> None:
    assert clean_lines("a\tb\x1b\n \t^") == "a b\n  ^"


@given(st.text())
def test_nothing_that_steers_a_terminal_gets_through(text: str) -> None:
    assert not {unicodedata.category(sign) for sign in clean(text)} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
