"""Which hand is it, by track, by channel, by what the hand usually does? Common practice of
song accompaniment, no source."""

import pytest

from evaluator.chart.graph import Hand
from evaluator.judge.hands import HandStrike, split_hands
from evaluator.take.model import make_take
from evaluator.take.strike import strikes

BOTH, LEFT, RIGHT = frozenset({"left", "right"}), frozenset({"left"}), frozenset({"right"})
Key = tuple[int, int]
"""A key and its label: track or channel."""


def split(*chords: tuple[Key, ...], column: str = "tracks", **options) -> list[HandStrike]:
    keys = [(float(at), key, label) for at, chord in enumerate(chords) for key, label in chord]
    take = make_take(
        [onset for onset, _, _ in keys],
        [onset + 0.8 for onset, _, _ in keys],
        [key for _, key, _ in keys],
        [64] * len(keys),
        **{column: [label for _, _, label in keys]},
    )
    wanted = options.pop("wanted", [None] * len(chords))
    return split_hands(take, strikes(take), wanted, transposed=0, **options)


def of(found: list[HandStrike], place: int, hand: Hand) -> tuple[int, ...]:
    return next((one.pitches for one in found if (one.strike, one.hand) == (place, hand)), ())


# The left hand has the fifth as well, so that pitch alone would cut elsewhere.
OPEN = ((48, 1), (60, 1), (64, 0), (67, 0))
CROSSED = ((48, 1), (60, 0), (64, 1), (67, 0))


@pytest.mark.parametrize("column", ["tracks", "channels"])
@pytest.mark.parametrize("labels", [(0, 1), (3, 2)])
def test_two_tracks_or_channels_are_believed_whichever_is_the_lower(
    column: str, labels: tuple[int, int]
) -> None:
    chord = tuple((key, labels[at > 1]) for at, key in enumerate((48, 60, 64, 67)))
    found = split(*[chord] * 6, column=column)
    assert of(found, 3, "left") == (48, 60)
    assert of(found, 3, "right") == (64, 67)


def test_tracks_that_cross_now_and_then_are_still_the_hands() -> None:
    found = split(*[OPEN] * 19, CROSSED, *[OPEN] * 5)
    assert of(found, 0, "left") == (48, 60)
    assert of(found, 19, "left") == (48, 64)


def test_tracks_that_cross_again_and_again_are_not_the_hands() -> None:
    found = split(*[OPEN] * 8, *[CROSSED] * 2, *[OPEN] * 2)
    assert of(found, 0, "left") != (48, 60)
    assert of(found, 9, "left") != (48, 64)


def test_tracks_of_the_same_height_are_not_the_hands() -> None:
    found = split(*[((60, 0), (64, 1), (67, 0))] * 6)
    assert {one.hand for one in found} == {"right"}


def test_a_track_with_hardly_a_note_is_no_hand() -> None:
    found = split(*[((48, 0), (64, 0), (67, 0), (72, 0))] * 6, ((36, 1),))
    assert of(found, 0, "left") == (48,)
    assert of(found, 6, "left") == (36,)


def test_three_tracks_are_not_the_hands() -> None:
    found = split(*[((48, 0), (60, 1), (64, 2), (67, 2))] * 6)
    assert of(found, 0, "left") == (48,)


@pytest.mark.parametrize("hand", ["left", "right"])
def test_the_hand_that_is_known_to_play_alone_has_everything(hand: Hand) -> None:
    found = split(*[OPEN] * 4, only=hand)
    assert {one.hand for one in found} == {hand}
    assert of(found, 2, hand) == (48, 60, 64, 67)


def test_a_take_of_the_bass_alone_is_the_left_hands() -> None:
    found = split(*[((43, 0),), ((48, 0),), ((45, 0),), ((50, 0),)] * 3, wanted=[BOTH] * 12)
    assert {one.hand for one in found} == {"left"}


@pytest.mark.parametrize(
    ("often", "now_and_then", "hand"),
    [(36, 60, "left"), (60, 36, "right"), (54, 84, "left"), (60, 84, "right")],
)
def test_where_both_are_wanted_and_never_struck_one_hand_leaps(
    often: int, now_and_then: int, hand: Hand
) -> None:
    found = split(*[((often, 0),), ((often, 0),), ((now_and_then, 0),)] * 4, wanted=[BOTH] * 12)
    assert {one.hand for one in found} == {hand}


def test_a_hand_strike_is_timed_by_the_middle_of_its_fingers_and_rolled_by_the_first() -> None:
    take = make_take([1.0, 1.02, 1.03], [2.0, 2.1, 2.2], [60, 64, 67], [50, 70, 60])
    (plain,) = split_hands(take, strikes(take), [RIGHT], transposed=0)
    assert plain.time == pytest.approx(1.02)
    assert (plain.loudest, plain.seconds) == (70, pytest.approx(1.18))
    take = make_take([1.0, 1.05, 1.1], [2.0, 2.1, 2.2], [60, 64, 67], [50, 70, 60])
    (rolled,) = split_hands(take, strikes(take), [RIGHT], transposed=0)
    assert rolled.time == pytest.approx(1.0)


def test_a_transposed_take_is_moved_back_to_the_charts_keys() -> None:
    take = make_take([1.0, 1.0], [2.0, 2.0], [62, 66], [60, 60])
    (found,) = split_hands(take, strikes(take), [RIGHT], transposed=2)
    assert found.pitches == (60, 64)


def test_nothing_struck_is_no_hand() -> None:
    take = make_take([], [], [], [])
    assert split_hands(take, (), [], transposed=0) == []


def plain(
    *chords: tuple[int, ...], wanted: tuple[frozenset[Hand], ...] = (BOTH,)
) -> list[HandStrike]:
    """Split by keys alone; what is wanted comes round and round."""
    labelled = [tuple((key, 0) for key in chord) for chord in chords]
    every = [wanted[at % len(wanted)] for at in range(len(chords))]
    return split(*labelled, wanted=every)


def test_a_single_note_far_down_does_not_move_where_the_hands_lie() -> None:
    usual = ((50, 66, 69), (47, 62, 67), (50, 66, 69), (45, 64, 69)) * 3
    found = plain((21,), *usual)
    assert [of(found, at, "left") for at in range(1, 5)] == [(50,), (47,), (50,), (45,)]


def test_a_hand_is_where_it_lately_was_and_not_where_it_began() -> None:
    low = ((40, 60, 64, 67),) * 12
    high = tuple((40 + up, 60 + up, 64 + up, 67 + up) for up in range(1, 15))
    there = ((54, 74, 78, 81),) * 12
    found = plain(*low, *high, *there)
    assert [of(found, at, "left") for at in (0, 18, 30)] == [(40,), (47,), (54,)]


@pytest.mark.parametrize(
    ("chords", "hands"),
    [
        (((43,), (62, 67, 71), (38,), (62, 66, 69)), {"left", "right"}),
        # Where the left hand's place is only ever answered from above, it is silent; so too
        # the right hand's from below.
        (((74,), (62, 67, 71), (74,), (62, 66, 69)), {"right"}),
        (((43,), (36, 40), (48,), (36, 40)), {"left"}),
    ],
)
def test_a_hand_is_silent_whose_places_nothing_answers(
    chords: tuple[tuple[int, ...], ...], hands: set[Hand]
) -> None:
    assert {one.hand for one in plain(*chords * 4, wanted=(LEFT, RIGHT))} == hands
