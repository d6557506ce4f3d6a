"""Could one hand have played this take, and which? Common practice among teachers, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.excerpt.one_hand import may_be_one_hand, side_of
from evaluator.take.strike import Strike

SONG = read_chart(
    "title: T\ntempo: 90\npattern p\n  left | x . |\n  right | x x |\n[A]\n| C | F | G | C |\n"
)
PLAIN = read_chart("title: T\ntempo: 90\n[A]\n| C | F | G | C |\n")


def strikes(*chords: tuple[int, ...]) -> tuple[Strike, ...]:
    return tuple(
        Strike(float(at), float(at), tuple(range(len(keys))), keys, (60,) * len(keys), False)
        for at, keys in enumerate(chords)
    )


CLOSE = ((60, 64, 67), (60, 65, 69), (59, 62, 67), (60, 64, 67)) * 3
BASS_AND_CHORD = ((36, 60, 64, 67), (41, 60, 65, 69), (43, 59, 62, 67), (36, 60, 64, 67)) * 3


def test_chords_in_one_part_of_the_keyboard_may_be_one_hands() -> None:
    assert may_be_one_hand(SONG, strikes(*CLOSE))


def test_a_bass_far_below_its_chords_takes_two_hands() -> None:
    assert not may_be_one_hand(SONG, strikes(*BASS_AND_CHORD))


def test_chords_wider_than_a_tenth_take_two_hands() -> None:
    assert not may_be_one_hand(SONG, strikes(*(((48, 65, 72),) * 12)))
    assert may_be_one_hand(SONG, strikes(*(((48, 64),) * 12)))


def test_a_line_that_wanders_over_more_than_two_octaves_takes_two_hands() -> None:
    assert may_be_one_hand(SONG, strikes(*((48,), (60,), (72,), (74,)) * 3))
    assert not may_be_one_hand(SONG, strikes(*((48,), (60,), (72,), (76,)) * 3))


def test_a_stray_key_in_a_long_take_proves_nothing() -> None:
    assert may_be_one_hand(SONG, strikes(*CLOSE, *CLOSE, (20,)))


def test_a_few_strikes_prove_nothing() -> None:
    assert not may_be_one_hand(SONG, strikes(*CLOSE[:7]))
    assert may_be_one_hand(SONG, strikes(*CLOSE[:8]))


def test_without_a_pattern_nothing_says_what_each_hand_plays() -> None:
    assert not may_be_one_hand(PLAIN, strikes(*CLOSE))


@pytest.mark.parametrize(("key", "hand"), [(54, "left"), (55, "right"), (67, "right")])
def test_a_take_below_g3_is_the_left_hands(key: int, hand: str) -> None:
    assert side_of(strikes(*[(key,)] * 5, (90,), (20,))) == hand
