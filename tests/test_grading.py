"""From any notes at all to a report, and the same one again.

What holds for a report on anything is in `tests.fuzz.promises`. Own promise, no source.
"""

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.fuzz.promises import SONGS, report_of_anything
from tests.fuzz.seeds import SEEDS

PLAYED = list(SEEDS["grade"]())


@settings(max_examples=60)
@given(st.integers(0, len(SONGS) - 1), st.binary(max_size=240))
@example(0, b"")
@example(1, b"\0\x3c\x40\0" * 50)
@example(2, b"\xff\x3c\x40\xff" * 50)
def test_any_notes_are_graded_and_again_the_same(song: int, notes: bytes) -> None:
    report_of_anything(bytes((song,)) + notes)


@settings(max_examples=40)
@given(
    st.sampled_from(PLAYED),
    st.lists(st.tuples(st.integers(0, 2000), st.integers(0, 255)), min_size=1, max_size=12),
)
def test_a_take_with_a_few_notes_astray_is_graded_and_again_the_same(
    played: bytes, astray: list[tuple[int, int]]
) -> None:
    raw = bytearray(played)
    for place, value in astray:
        raw[1 + place % (len(raw) - 1)] = value
    assert report_of_anything(bytes(raw))
