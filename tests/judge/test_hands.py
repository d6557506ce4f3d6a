"""Which hand plays what. Common practice of song accompaniment, no source."""

from evaluator.judge.hands import HandStrike, split_hands
from evaluator.take.model import make_take
from evaluator.take.strike import strikes

BOTH, LEFT, RIGHT = frozenset({"left", "right"}), frozenset({"left"}), frozenset({"right"})


def hands(*chords: tuple[int, ...], wanted: list, tracks: dict[int, int] | None = None):
    onsets = [float(place) for place, chord in enumerate(chords) for _ in chord]
    pitches = [pitch for chord in chords for pitch in chord]
    take = make_take(
        onsets,
        [onset + 0.8 for onset in onsets],
        pitches,
        [64] * len(onsets),
        tracks=None if tracks is None else [tracks[pitch] for pitch in pitches],
    )
    return split_hands(take, strikes(take), wanted, transposed=0)


def of(found: list[HandStrike], place: int, hand: str) -> tuple[int, ...]:
    pitches = [one.pitches for one in found if one.strike == place and one.hand == hand]
    return pitches[0] if pitches else ()


USUAL = ((48, 64, 67, 72), (43, 62, 67, 71), (48, 64, 67, 72), (41, 65, 69, 72))


def test_bass_and_chord_are_two_hands() -> None:
    found = hands(*USUAL, wanted=[BOTH] * 4)
    assert of(found, 1, "left") == (43,)
    assert of(found, 1, "right") == (62, 67, 71)


def test_a_bass_doubled_in_octaves_is_all_left_hand() -> None:
    found = hands(*USUAL, (36, 48, 64, 67, 72), (36, 48), wanted=[BOTH] * 5 + [LEFT])
    assert of(found, 4, "left") == (36, 48)
    assert of(found, 5, "left") == (36, 48)
    assert of(found, 5, "right") == ()


def test_a_low_right_hand_chord_is_not_cut_where_only_the_right_is_wanted() -> None:
    found = hands(*USUAL, (57, 60, 65), wanted=[BOTH] * 4 + [RIGHT])
    assert of(found, 4, "right") == (57, 60, 65)


def test_a_rest_of_the_left_hand_does_not_make_the_lowest_note_a_bass() -> None:
    found = hands(*USUAL, (60, 64, 67), *USUAL, wanted=[BOTH] * 9)
    assert of(found, 4, "left") == ()


def test_a_left_hand_that_climbs_stays_the_left() -> None:
    climb = ((47, 62, 66, 69), (54,), (59,), (54,))
    found = hands(*USUAL, *climb, wanted=[BOTH] * 5 + [LEFT] * 3)
    assert of(found, 6, "left") == (59,)


def test_a_take_of_one_hand_is_not_cut() -> None:
    chords = ((60, 64, 67), (59, 62, 67), (60, 65, 69), (64, 67, 72)) * 3
    found = hands(*chords, wanted=[BOTH] * 12)
    assert {one.hand for one in found} == {"right"}


def test_two_tracks_that_keep_the_hands_apart_are_believed() -> None:
    # The left hand's chord reaches above the usual cut.
    chords = ((48, 55, 60, 64), (67, 72)) * 6
    tracks = {48: 2, 55: 2, 60: 2, 64: 2, 67: 1, 72: 1}
    found = hands(*chords, wanted=[None] * 12, tracks=tracks)
    assert of(found, 0, "left") == (48, 55, 60, 64)
    assert of(found, 1, "right") == (67, 72)
