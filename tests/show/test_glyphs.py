"""Shapes that need no colour, and terminals that cannot write them."""

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.show.glyphs import ASCII, MEANINGS, UNICODE, Glyphs, fitted, glyphs_for


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_every_mark_has_a_shape_of_its_own(glyphs: Glyphs) -> None:
    shapes = [glyphs.of(kind) for kind in MEANINGS]
    assert len(set(shapes)) == len(shapes)


def test_ascii_shapes_are_ascii() -> None:
    assert all(getattr(ASCII, field.name).isascii() for field in fields(Glyphs))


@pytest.mark.parametrize(
    ("encoding", "glyphs"),
    [("utf-8", UNICODE), ("UTF8", UNICODE), ("cp1252", ASCII), ("ascii", ASCII), ("odd", ASCII)],
)
def test_the_shapes_are_those_that_the_terminal_can_write(encoding: str, glyphs: Glyphs) -> None:
    assert glyphs_for(encoding) is glyphs


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [("utf-8", "B♭Δ, é, 鍋"), ("cp1252", "Bbmaj7, é, ?"), ("ascii", "Bbmaj7, e, ?")],
)
def test_music_signs_are_spelled_where_they_cannot_be_written(encoding: str, shown: str) -> None:
    assert fitted("B♭Δ, é, 鍋", encoding) == shown


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"])))
def test_what_is_fitted_can_be_written(text: str) -> None:
    fitted(text, "cp437").encode("cp437")
