"""Does a hand that is late throughout lead nobody astray? The player's bar lines are the truth."""

import pytest

from evaluator.follow.hands_apart import hands_together
from evaluator.follow.playing import Playing
from evaluator.take.strike import Strike
from tests.bench.kinds import play_kind
from tests.follow.songs import LINES, heard, path_of, song
from tests.playing import play


@pytest.mark.parametrize(
    ("kind", "seed"),
    [("right hand behind", 36), ("right hand behind", 21), ("left hand behind", 17)],
)
def test_the_bars_are_where_they_were_played_and_hold_every_strike(kind: str, seed: int) -> None:
    """A half beat early throughout, at twice the tempo, or with a jump: so they were followed."""
    take = play_kind(kind, seed)
    path, strikes = path_of(take), heard(take.performance)
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(
        [bar.start for bar in take.truth.bars], abs=0.15
    )
    struck = [at for bar in path.bars for at in bar.struck]
    assert sorted((*path.before, *struck, *path.after)) == list(range(len(strikes)))


def test_hands_that_take_turns_in_swing_are_left_where_they_are() -> None:
    """From the last third of a beat to the beat is a usual distance as well."""
    take = play_kind("right hand behind", 13)
    assert hands_together(Playing(take.graph, heard(take.performance))) is not None
    path = path_of(take)
    assert [bar.start for bar in path.bars] == pytest.approx(
        [bar.start for bar in take.truth.bars], abs=0.15
    )


def test_hands_that_lie_together_are_not_put_together() -> None:
    playing = Playing(song(LINES), heard(play(song(LINES), jitter_ms=15, seed=3)))
    assert hands_together(playing) is None


@pytest.mark.parametrize("pitch", [48, 72])
def test_one_hand_alone_is_not_apart_from_any(pitch: int) -> None:
    alone = [_strike(pitch, at, at) for at in range(20)]
    assert hands_together(Playing(song(LINES), alone)) is None


def test_hands_that_never_meet_are_not_apart() -> None:
    turns = [_strike((48, 72)[at % 2], 0.5 * at, at) for at in range(40)]
    assert hands_together(Playing(song(LINES), turns)) is None


def test_a_hand_that_is_ahead_is_told_from_one_behind() -> None:
    """The strikes of either lie where the earlier hand was, with the keys of both."""
    for lower_first in (True, False):
        pitches = (48, 72) if lower_first else (72, 48)
        apart = [
            _strike(pitch, beat + 0.12 * (place == 1), 2 * beat + place)
            for beat in range(20)
            for place, pitch in enumerate(pitches)
        ]
        together = hands_together(Playing(song(LINES), apart))
        assert together is not None
        assert [{*pieces} for pieces in together.pieces] == [{at, at + 1} for at in range(0, 40, 2)]
        assert [one.time for one in together.strikes] == pytest.approx(list(range(20)))
        assert {one.pitches for one in together.strikes} == {(48, 72)}
        lowest = [one.notes[0] for one in together.strikes]
        assert lowest == list(range(0 if lower_first else 1, 40, 2))


def _strike(pitch: int, time: float, note: int) -> Strike:
    return Strike(time, time, (note,), (pitch,), (64,), rolled=False)
