"""How fast next? Rules of this program; the metronome's scale: its own print, from memory."""

from itertools import pairwise

import pytest

from evaluator.practise.ladder import Ladder, ladder


def after(steps: Ladder, times: str) -> Ladder:
    """Each sign is one time through: `+` good, `-` bad."""
    for sign in times:
        steps = steps.after(good=sign == "+")
    return steps


def test_after_three_good_times_in_a_row_it_goes_up_a_step() -> None:
    steps = ladder(96, start=72)
    assert after(steps, "++").bpm == steps.bpm == 72
    assert after(steps, "+++").bpm == 80
    assert after(steps, "+++").reached == 72


def test_a_bad_time_between_good_ones_begins_the_count_anew() -> None:
    steps = ladder(96, start=72)
    assert after(steps, "++-++").bpm == 72
    assert after(steps, "++-+++").bpm == 80


def test_after_two_bad_times_in_a_row_it_goes_down_a_step() -> None:
    steps = ladder(96, start=72)
    assert after(steps, "-+-").bpm == 72
    assert after(steps, "--").bpm == 66
    assert after(steps, "---").bpm == 66
    assert after(steps, "----").bpm == 60


def test_it_ends_at_the_charts_tempo() -> None:
    steps = after(ladder(96, start=88), "+++")
    assert (steps.bpm, steps.mastered) == (96, False)
    steps = after(steps, "+++")
    assert (steps.bpm, steps.reached, steps.mastered) == (96, 96, True)


def test_it_goes_no_slower_than_half_the_charts_tempo() -> None:
    steps = after(ladder(96, start=50), "-" * 20)
    assert steps.lowest
    assert steps.bpm >= 48


def test_what_was_reached_stays_reached_when_it_goes_down_again() -> None:
    assert after(ladder(96, start=72), "+++----").reached == 72


@pytest.mark.parametrize("goal", [30, 60, 96, 97, 131.5, 208, 240, 400])
def test_every_step_is_felt_and_none_is_a_leap(goal: float) -> None:
    tempi = ladder(goal).tempi
    assert tempi[-1] == round(goal)
    assert all(1.05 < fast / slow < 1.22 for slow, fast in pairwise(tempi))


def test_it_begins_at_the_plans_tempo_or_slower_never_faster() -> None:
    assert ladder(96, start=75).bpm == 72
    assert ladder(96, start=20).lowest
    assert ladder(96, start=200).bpm == 96


def test_nothing_is_known_of_a_passage_that_somebody_chose() -> None:
    assert 0.6 * 96 <= ladder(96).bpm <= 0.7 * 96


def test_what_was_reached_before_is_begun_a_step_below() -> None:
    assert ladder(96, start=60, reached=80).bpm == 72
    assert ladder(96, start=88, reached=72).bpm == 88
    assert ladder(96, start=60, reached=96).bpm == 88
