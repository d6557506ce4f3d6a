"""When is a mastered passage asked for again? Rules of this program."""

from dataclasses import replace
from datetime import date

import pytest

from evaluator.history.due import courses, wait
from tests.history.kept import DAY, practised


def test_a_mastered_passage_is_asked_for_again_after_two_days_then_after_four() -> None:
    first = practised(day=0, bpm=96)
    (one,) = courses([first])
    assert (one.mastered, one.due) == (True, date(2026, 11, 4))
    (one,) = courses([first, practised(day=2, bpm=96)])
    assert one.due == date(2026, 11, 8)


def test_twice_on_one_day_counts_once() -> None:
    morning = practised(bpm=96)
    evening = replace(morning, began_at=morning.began_at + DAY / 8)
    (one,) = courses([morning, evening])
    assert one.due == date(2026, 11, 4)


def test_the_wait_doubles_up_to_two_months() -> None:
    assert [wait(days) for days in (1, 2, 3, 4, 5, 6, 50)] == [2, 4, 8, 16, 32, 60, 60]


@pytest.mark.parametrize("last", [practised(day=3, bpm=80), practised(day=3, bpm=96, in_a_row=2)])
def test_who_does_not_get_to_the_charts_tempo_on_a_later_day_has_lost_it(last: object) -> None:
    (one,) = courses([practised(bpm=96), last])  # type: ignore[list-item]
    assert not one.mastered
    assert one.due is None
    assert one.reached == 96


def test_only_three_good_times_in_a_row_are_a_tempo_reached() -> None:
    rounds = [practised(bpm=72), practised(day=1, bpm=80, in_a_row=2)]
    (one,) = courses(rounds)
    assert (one.reached, one.goal, one.times, one.days) == (72, 96, 8, 2)
    (none,) = courses(rounds[1:])
    assert none.reached is None


def test_hands_are_practised_apart() -> None:
    assert len(courses([practised(hand="right"), practised(hand="left"), practised()])) == 3
