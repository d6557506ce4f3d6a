"""Text in lines of a given width. Widths of Chinese characters after Unicode UAX #11."""

from hypothesis import given
from hypothesis import strategies as st

from evaluator.show.page import cells, padded, paragraph, wrapped
from evaluator.show.sanitise import clean


def test_lines_break_at_spaces() -> None:
    assert wrapped("one two three", 7) == ["one two", "three"]


def test_a_word_longer_than_the_line_is_cut_and_nothing_is_lost() -> None:
    assert wrapped("a bcdefgh i", 3) == ["a", "bcd", "efg", "h i"]


def test_an_empty_text_is_one_empty_row() -> None:
    assert wrapped("", 10) == [""]


def test_wide_characters_take_two_cells() -> None:
    assert cells("鍋") == 2
    assert padded("鍋", 4) == "鍋  "
    assert wrapped("鍋鍋鍋", 4) == ["鍋鍋", "鍋"]


def test_a_paragraph_hangs_below_its_first_sign() -> None:
    lines = list(paragraph("one two three", 11, first="1. "))
    assert ["".join(text for text, _ in line) for line in lines] == ["1. one two", "   three"]


@given(st.text().map(clean), st.integers(2, 30))
def test_no_row_is_too_wide_and_no_sign_is_lost(text: str, width: int) -> None:
    rows = wrapped(text, width)
    assert all(cells(row) <= width for row in rows)
    assert "".join(rows).replace(" ", "") == text.replace(" ", "")
