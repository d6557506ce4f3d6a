"""Which strikes are pieces of one, and which are not, by their times, keys and lengths alone.

Common practice of rough hands, no source.
"""

from fractions import Fraction

import pytest

from evaluator.chart.graph import ExpectedStrike, Hand, StrikePart
from evaluator.judge.layout import Due
from evaluator.judge.pieces import WITHIN, closing_pieces, join_pieces, nearest_due
from evaluator.take.model import Take, make_take
from evaluator.take.strike import Strike, joined


def due(beat: float, hand: Hand = "right", part: StrikePart = "chord") -> Due:
    """A strike wanted on a beat of a bar at sixty: its beat is its second."""
    wanted = ExpectedStrike(Fraction(beat), hand, frozenset({0, 4, 7}), part, 0)
    return Due(0, wanted, beat, beat, beat, 1.0, off_beat=False)


def struck(*keys: tuple[float, float, int]) -> tuple[Take, list[Strike]]:
    """Onset, seconds held and key of single notes; those of one onset are one strike."""
    take = make_take(
        [onset for onset, _, _ in keys],
        [onset + held for onset, held, _ in keys],
        [key for _, _, key in keys],
        [60] * len(keys),
    )
    found = []
    for onset in sorted({onset for onset, _, _ in keys}):
        notes = tuple(at for at, (other, _, _) in enumerate(keys) if other == onset)
        pitches = tuple(keys[at][2] for at in notes)
        found.append(Strike(onset, onset, notes, pitches, (60,) * len(notes), False))
    return take, found


def pieces(dues: list[Due], *keys: tuple[float, float, int]) -> list[tuple[int, ...]]:
    take, strikes = struck(*keys)
    return join_pieces(take, strikes, nearest_due(strikes, dues), dues)


CHORD = [due(1.0), due(2.0)]


def test_a_chord_that_lands_within_a_tenth_of_a_second_is_one() -> None:
    assert pieces(CHORD, (1.0, 0.5, 60), (1.07, 0.5, 64), (1.09, 0.5, 67)) == [(0, 1, 2)]


def test_what_comes_after_a_tenth_of_a_second_is_a_strike_of_its_own() -> None:
    # The tenth counts from the first key, not from the one before.
    assert pieces(CHORD, (1.0, 0.5, 60), (1.07, 0.5, 64), (1.14, 0.5, 67)) == [(0, 1), (2,)]


def test_the_same_key_again_is_a_strike_of_its_own() -> None:
    assert pieces(CHORD, (1.0, 0.5, 60), (1.0, 0.5, 64), (1.08, 0.5, 60)) == [(0,), (1,)]


def test_where_one_key_is_wanted_two_are_two_strikes() -> None:
    single = [due(1.0, part="tone"), due(2.0, part="tone")]
    assert pieces(single, (1.0, 0.5, 60), (1.07, 0.5, 64)) == [(0,), (1,)]


def test_a_key_of_each_hand_is_a_chord_of_two() -> None:
    both = [due(1.0, "left", "bass"), due(1.0, "right", "tone")]
    assert pieces(both, (1.0, 0.5, 40), (1.07, 0.5, 64)) == [(0, 1)]


def test_keys_meant_for_two_strikes_are_no_pieces_of_one() -> None:
    fast = [due(1.0), due(1.09)]
    assert pieces(fast, (1.0, 0.1, 60), (1.09, 0.1, 64)) == [(0,), (1,)]


def test_a_chord_that_nothing_wants_is_one_if_a_piece_of_it_is_a_chord() -> None:
    assert pieces(CHORD, (1.5, 0.4, 60), (1.5, 0.4, 64), (1.56, 0.4, 67)) == [(0, 1)]
    assert pieces(CHORD, (1.5, 0.4, 60), (1.56, 0.4, 67)) == [(0,), (1,)]


@pytest.mark.parametrize(
    ("first", "rest", "one"),
    [
        # Seconds for which the first key and those behind it are held.
        (0.5, 0.5, True),
        (0.06, 0.5, False),
        (0.11, 0.5, False),
        (0.13, 0.5, True),
        # All let go at once is a short chord.
        (0.06, 0.08, True),
        (0.06, 0.10, False),
    ],
)
def test_a_single_key_let_go_at_once_before_the_rest_is_an_ornament(
    first: float, rest: float, one: bool
) -> None:
    found = pieces(CHORD, (1.0, first, 61), (1.06, rest, 60), (1.06, rest, 64))
    assert (found == [(0, 1)]) == one


@pytest.mark.parametrize(
    ("rest", "last", "one"),
    [(0.5, 0.5, True), (0.5, 0.06, False), (0.5, 0.13, True), (0.08, 0.06, True)],
)
def test_a_single_key_let_go_at_once_behind_the_rest_is_an_ornament(
    rest: float, last: float, one: bool
) -> None:
    found = pieces(CHORD, (1.0, rest, 60), (1.0, rest, 64), (1.06, last, 67))
    assert (found == [(0, 1)]) == one


def test_two_keys_let_go_at_once_are_no_ornament() -> None:
    found = pieces(CHORD, (1.0, 0.06, 60), (1.0, 0.06, 64), (1.06, 0.5, 67), (1.06, 0.5, 72))
    assert found == [(0, 1)]


def test_a_strike_is_meant_for_the_nearest_within_a_third_of_a_beat() -> None:
    _, strikes = struck(*((at, 0.1, 60) for at in (0.6, 0.75, 1.25, 1.5, 1.75, 2.25, 2.4)))
    assert nearest_due(strikes, CHORD) == [None, 0, 0, None, 1, 1, None]
    assert nearest_due(strikes, []) == [None] * 7


def test_pieces_put_together_are_one_chord_from_the_lowest_key_up() -> None:
    _, strikes = struck((1.0, 0.5, 67), (1.05, 0.5, 60), (1.05, 0.5, 64))
    whole = joined(strikes, WITHIN)
    assert (whole.time, whole.last) == (1.0, 1.05)
    assert (whole.pitches, whole.notes) == ((60, 64, 67), (1, 2, 0))
    assert not whole.rolled
    assert joined(strikes[:1], WITHIN) is strikes[0]


def test_a_chord_with_a_rolled_piece_is_rolled() -> None:
    rolled = Strike(1.0, 1.04, (0,), (60,), (60,), True)
    plain = Strike(1.06, 1.06, (1,), (64,), (60,), False)
    assert joined([rolled, plain], WITHIN).rolled


@pytest.mark.parametrize(("beat", "found"), [(1.0, [1, 2]), (0.5, [1]), (0.1, [1])])
def test_behind_the_last_chord_a_third_of_a_beat_still_belongs_to_it(
    beat: float, found: list[int]
) -> None:
    _, strikes = struck(*((at, 0.1, 60) for at in (1.0, 1.09, 1.28, 1.4)))
    assert closing_pieces(strikes, 0, [1, 2, 3], beat) == found
