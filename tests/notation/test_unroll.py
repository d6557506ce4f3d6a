"""Repeats, endings and jumps as musicians play them. Common practice of notation, no
source; the two lead sheets of tests/against are outside examples."""

import pytest

from evaluator.notation.score import BarSigns, ScoreError
from evaluator.notation.unroll import unroll

START, END = BarSigns(repeat_start=True), BarSigns(repeat_end=2)
PLAIN = BarSigns()


def ending(*times: int, first: bool = True, end: int = 0) -> BarSigns:
    return BarSigns(endings=frozenset(times), ending_start=first, repeat_end=end)


def played(*marks: BarSigns) -> str:
    return " ".join(str(step.bar + 1) for step in unroll(marks))


def test_without_signs_the_bars_come_in_their_order():
    assert played(PLAIN, PLAIN, PLAIN) == "1 2 3"


def test_a_repeat_goes_back_to_its_start_sign():
    assert played(PLAIN, START, END, PLAIN) == "1 2 3 2 3 4"


def test_a_repeat_without_a_start_sign_goes_back_to_the_beginning():
    assert played(PLAIN, END, PLAIN) == "1 2 1 2 3"


def test_a_later_repeat_without_a_start_sign_goes_back_to_the_last_repeat():
    assert played(PLAIN, END, PLAIN, END) == "1 2 1 2 3 4 3 4"


def test_twelve_repeats_take_each_bar_twice():
    assert len(unroll([PLAIN, END] * 12)) == 48


def test_one_bar_may_be_repeated_by_itself():
    assert played(BarSigns(repeat_start=True, repeat_end=3), PLAIN) == "1 1 1 2"


def test_first_and_second_ending():
    assert played(START, PLAIN, ending(1, end=2), ending(2), PLAIN) == "1 2 3 1 2 4 5"


def test_endings_of_several_bars():
    marks = [START, ending(1), ending(1, first=False, end=2), ending(2), ending(2, first=False)]
    assert played(*marks) == "1 2 3 1 4 5"


def test_an_ending_for_two_times():
    assert played(START, ending(1, 2, end=2), ending(3), PLAIN) == "1 2 1 2 1 3 4"


def test_a_first_ending_alone_leaves_the_second_time_to_the_bars_behind_it():
    assert played(START, PLAIN, ending(1, end=2), PLAIN, PLAIN) == "1 2 3 1 2 4 5"


def test_a_repeat_sign_behind_the_last_ending_does_not_repeat_again():
    assert played(START, ending(1, end=2), ending(2, end=2), PLAIN) == "1 2 1 3 4"


def test_a_second_repeat_with_endings_begins_behind_the_first():
    marks = [PLAIN, ending(1, end=2), ending(2), PLAIN, ending(1, end=2), ending(2)]
    assert played(*marks) == "1 2 1 3 4 5 4 6"


def test_each_step_knows_for_which_time_it_is_played():
    steps = unroll([START, ending(1, end=2), ending(2), PLAIN])
    assert [step.time for step in steps] == [1, 1, 2, 2, 1]


def test_da_capo_al_fine():
    assert (
        played(PLAIN, BarSigns(fine=True), PLAIN, BarSigns(jump="capo", until="fine"))
        == "1 2 3 4 1 2"
    )


def test_dal_segno_al_coda():
    marks = [
        PLAIN,
        BarSigns(segno=True),
        BarSigns(to_coda=True),
        BarSigns(jump="segno", until="coda"),
        BarSigns(coda=True),
        PLAIN,
    ]
    assert played(*marks) == "1 2 3 4 2 3 5 6"


def test_after_a_jump_repeats_are_not_taken_and_the_last_ending_is_played():
    marks = [START, ending(1, end=2), ending(2), BarSigns(jump="capo")]
    assert played(*marks) == "1 2 1 3 4 1 3 4"


def test_a_jump_is_taken_once():
    assert played(PLAIN, BarSigns(jump="capo"), PLAIN) == "1 2 1 2 3"


def test_a_sign_that_is_missing_is_done_without():
    assert played(PLAIN, BarSigns(jump="segno", until="fine")) == "1 2 1 2"
    assert played(BarSigns(to_coda=True), BarSigns(jump="capo", until="coda")) == "1 2 1 2"


def test_endings_at_the_very_end_and_beginning():
    assert played(ending(1, end=2), ending(2)) == "1 2"
    assert played(PLAIN, ending(1, end=2)) == "1 2 1"


@pytest.mark.parametrize("times", [1001, 10**9])
def test_more_bars_than_a_chart_holds_are_refused(times):
    with pytest.raises(ScoreError, match="more than 1,000 bars"):
        unroll([PLAIN, BarSigns(repeat_end=times)])
