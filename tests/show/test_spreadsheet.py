"""Texts in a spreadsheet. Signs with which a formula begins after OWASP, CSV Injection."""

import pytest

from evaluator.show.sanitise import cell_text


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_no_text_begins_as_a_formula_does(sign: str) -> None:
    assert cell_text(f"{sign}1+1").startswith("'")


def test_nor_behind_spaces_and_what_nobody_sees() -> None:
    assert cell_text("\u200b =1+1") == "' =1+1"


def test_other_texts_stay_as_they_are() -> None:
    assert cell_text("Zoë Ängström, 1 - 2 = ?") == "Zoë Ängström, 1 - 2 = ?"
