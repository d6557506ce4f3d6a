"""When does each note of the accompaniment sound? Rules of this program, no outside source."""

import pytest

from evaluator.live.accompanist import AHEAD, LATE, OWED, Accompanist, Pulse
from evaluator.practise.accompaniment import Sound

LENGTH = 4.0
OWES = [0.0, 1.0, 2.0, 3.0]


def raw(key: int) -> bytes:
    return bytes((0x90, key, 48))


def player(*, leads: bool = False) -> Accompanist:
    """Strikes at 0.5, 1.5, 2.5 and 3.5."""
    sounds = [Sound(at + 0.5, raw(60 + at)) for at in range(4)]
    return Accompanist(sounds, OWES, LENGTH, leads=leads)


def keys(found: list[tuple[float, bytes]]) -> list[tuple[float, int]]:
    return [(time, one[1]) for time, one in found]


def test_it_plays_where_the_student_is_expected_and_a_little_ahead() -> None:
    one = player()
    pulse = Pulse(0.0, 10.0, 1.25)
    assert list(one.due(pulse, 10.625 - AHEAD - 0.01, 0.0)) == []
    assert keys(list(one.due(pulse, 10.625 - AHEAD, 0.0))) == [(10.625, 60)]
    assert list(one.due(pulse, 10.7, 0.0)) == []  # once


def test_it_follows_the_tempo_of_the_student() -> None:
    one = player()
    assert keys(list(one.due(Pulse(1.0, 11.0, 1.0), 10.5, 1.0))) == [(10.5, 60)]
    slower = Pulse(1.0, 11.0, 1.5)
    assert keys(list(one.due(slower, 11.7, 1.0))) == [(11.75, 61)]


def test_at_a_halt_it_waits_and_then_goes_on_from_there() -> None:
    one = player()
    pulse = Pulse(0.0, 10.0, 1.0)
    list(one.due(pulse, 10.5, 0.0))
    # The strike at 1.0 does not come.
    for now in (11.0 + OWED + 0.01, 11.5, 13.0, 20.0):
        assert list(one.due(pulse, now, 0.0)) == []
    again = Pulse(1.0, 20.1, 1.0)
    assert list(one.due(again, 20.2, 1.0)) == []
    assert keys(list(one.due(again, 20.5, 1.0))) == [(pytest.approx(20.6), 61)]


def test_what_comes_far_too_late_is_left_out_and_keys_are_let_go_all_the_same() -> None:
    sounds = [Sound(0.5, raw(60)), Sound(0.9, bytes((0x80, 60, 64)))]
    one = Accompanist(sounds, OWES, LENGTH, leads=False)
    pulse = Pulse(1.0, 11.0, 1.0)
    found = list(one.due(pulse, 10.9 + LATE, 1.0))
    assert [sent for _, sent in found] == [bytes((0x80, 60, 64))]


def test_it_goes_round_with_the_student() -> None:
    one = player()
    pulse = Pulse(4.0, 14.0, 1.0)
    one.goes_to(4.0)
    assert keys(list(one.due(pulse, 14.4, 4.0))) == [(14.5, 60)]


def test_who_jumps_back_is_met_there() -> None:
    one = player()
    list(one.due(Pulse(2.0, 12.0, 1.0), 12.5, 2.0))
    one.goes_to(1.0 + 1e-3)
    assert keys(list(one.due(Pulse(1.0, 20.0, 1.0), 20.4, 1.0))) == [(20.5, 61)]


def test_a_click_waits_for_nobody() -> None:
    one = player(leads=True)
    led = Pulse(0.0, 10.0, 1.0)
    found = [row for step in range(100) for row in one.due(led, 10.0 + step / 10, 0.0)]
    assert keys(found) == [(10.5 + at, 60 + at % 4) for at in range(10)]


def test_with_nothing_to_play_it_plays_nothing() -> None:
    assert list(Accompanist((), OWES, LENGTH, leads=False).due(Pulse(0, 0, 1), 5.0, 0.0)) == []
