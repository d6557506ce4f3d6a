"""What does a miscounted tail cost, and beginning anywhere? Common practice, no source: bars
that sound alike are hard to count, and a reader's eye falls on beginnings of lines."""

import math

import numpy as np
import pytest

from evaluator.follow.costs import Costs
from evaluator.follow.form_prices import FormPrices
from evaluator.follow.grid import lay_out
from tests.follow.songs import FREE, HEAD, LINES, OPEN, TAIL, song

# Bars by index: 0-3 a line, 4-7 the tail of four (from two on, in the open one 4 and 5).
COSTS = Costs()


def form(text: str) -> FormPrices:
    return FormPrices(lay_out(song(text)), COSTS)


def miscounted(bars: int) -> float:
    return COSTS.tail + COSTS.farther * math.log(bars)


@pytest.mark.parametrize(
    ("text", "bar", "lost"),
    [
        # Where each way within the tail or out of it leads, and how many bars are lost on it.
        (TAIL, 3, {5: 1, 6: 2, 7: 3, 8: 4}),
        (TAIL, 4, {6: 1, 7: 2, 8: 3}),
        (TAIL, 6, {8: 1}),
        (FREE, 3, {5: 1, 6: 2, 7: 3, 8: 2}),
        (FREE, 4, {6: 1, 7: 2, 8: 1}),
        (OPEN, 3, {5: 1, 6: 2}),
    ],
)
def test_bars_lost_in_a_tail_cost_by_how_many_had_to_be_played(
    text: str, bar: int, lost: dict[int, int]
) -> None:
    price = form(text).leaving(bar)
    assert {to: price[to] for to in lost} == pytest.approx(
        {to: miscounted(count) for to, count in lost.items()}
    )


@pytest.mark.parametrize(
    ("text", "bar", "added"),
    [
        (TAIL, 4, {4: 1}),
        (TAIL, 7, {7: 1, 6: 2, 5: 3, 4: 4}),
        (FREE, 5, {5: 1, 4: 2}),
    ],
)
def test_bars_added_in_a_tail_cost_by_how_many_come_again(
    text: str, bar: int, added: dict[int, int]
) -> None:
    price = form(text).leaving(bar)
    assert {to: price[to] for to in added} == pytest.approx(
        {to: miscounted(count) for to, count in added.items()}
    )


def test_from_an_or_line_no_tail_leads_on_within_the_line_it_stands_for() -> None:
    price = form(HEAD + "[A]\n| C | F | G | x2\nor | A | Bm | E |\n[B]\n| F | G |\n").leaving(3)
    assert price[4] == 0.0
    assert price[2] == pytest.approx(COSTS.jump_pattern + COSTS.farther * math.log(1))


def test_a_tail_with_which_the_song_begins_may_be_played_from_its_first_bar_again() -> None:
    price = form(HEAD + "[A]\n| C | x3\n[B]\n| F | G |\n").leaving(2)
    assert price[:3] == pytest.approx([miscounted(3), miscounted(2), miscounted(1)])


def test_beyond_the_tail_a_jump_is_a_jump() -> None:
    price = form(TAIL).leaving(7)
    assert price[9] == pytest.approx(COSTS.jump_pattern)
    assert price[10] == pytest.approx(COSTS.jump_pattern + COSTS.farther * math.log(2))
    assert price[11] == pytest.approx(COSTS.jump_pattern + COSTS.farther * math.log(3) + COSTS.far)
    assert price[3] == pytest.approx(COSTS.jump_pattern + COSTS.farther * math.log(5) + COSTS.far)


@pytest.mark.parametrize(
    ("bar", "to", "away"),
    [
        (7, 12, COSTS.far_by_lines_pattern),  # from a line's end to a line's beginning
        (7, 13, COSTS.far),
        (6, 12, COSTS.far),
        (23, 12, COSTS.far_by_lines_pattern),  # from the end of the song
        (3, 16, COSTS.far_by_lines_pattern),  # to a section's, but not from the end of one
    ],
)
def test_a_far_jump_is_cheaper_from_the_end_of_a_line_to_the_beginning_of_one(
    bar: int, to: int, away: float
) -> None:
    bars = abs(to - bar - 1)
    found = form(LINES).leaving(bar)[to]
    assert found == pytest.approx(COSTS.jump_pattern + COSTS.farther * math.log(bars) + away)


@pytest.mark.parametrize(("bar", "to"), [(7, 0), (7, 16), (23, 16)])
def test_whole_sections_are_lost_or_doubled_at_one_price_however_long_they_are(
    bar: int, to: int
) -> None:
    assert form(LINES).leaving(bar)[to] == COSTS.jump_pattern + COSTS.far_by_sections_pattern


@pytest.mark.parametrize(("text", "bar", "to"), [(LINES, 15, 0), (LINES + "[A]\n| C |\n", 7, 24)])
def test_two_sections_are_lost_or_doubled_less_easily_than_one(
    text: str, bar: int, to: int
) -> None:
    one = COSTS.jump_pattern + COSTS.far_by_sections_pattern
    two = one + COSTS.farther_section * math.log(2)
    assert form(text).leaving(bar)[to] == pytest.approx(two)


def test_lines_are_no_more_easily_lost_where_no_pattern_bears_witness() -> None:
    free = form(LINES.replace("pattern walk", "# ").replace("  left", "#").replace("  right", "#"))
    price = free.leaving(7)
    assert price[12] == pytest.approx(COSTS.jump + COSTS.farther * math.log(4) + COSTS.far_by_lines)
    assert price[16] == pytest.approx(COSTS.jump + COSTS.farther * math.log(8) + COSTS.far_by_lines)


def test_the_last_bar_is_struck_once_more_more_easily_than_any_other() -> None:
    assert form(LINES).leaving(23)[23] == COSTS.last_again
    assert form(LINES).leaving(22)[22] > COSTS.last_again


def test_where_nothing_was_heard_the_player_has_likely_gone_on() -> None:
    price = form(LINES).heard_again(9)
    assert price[9:12].tolist() == sorted(price[9:12])
    assert price[13] == pytest.approx(COSTS.restart + COSTS.farther * math.log(5))
    assert price[5] == pytest.approx(price[13] + COSTS.skip_ahead)


def test_taking_up_again_costs_by_the_distance_and_more_ahead() -> None:
    price = form(LINES).restarting(9)
    again, back, ahead = COSTS.restart, math.log(2), math.log(2)
    assert price[9] == pytest.approx(again)
    assert price[8] == pytest.approx(again + COSTS.farther * back)
    assert price[10] == pytest.approx(again + COSTS.farther * ahead + COSTS.skip_ahead)
    assert price[4] == pytest.approx(
        again + COSTS.farther * math.log(6) + COSTS.far_resuming_at_line_pattern
    )


def test_a_later_section_is_begun_more_easily_than_a_line_and_a_line_than_a_bar() -> None:
    price = form(LINES).starting()
    assert price[[0, 8, 16]].tolist() == [0.0, COSTS.start_section, COSTS.start_section]
    assert price[[4, 12, 20]].tolist() == [COSTS.start_line] * 3
    for bar in (1, 9, 23):
        assert price[bar] == pytest.approx(COSTS.start_bar + COSTS.farther * math.log1p(bar))


def test_only_the_first_time_through_a_counted_line_opens_its_section() -> None:
    price = form(HEAD + "[A]\n| C | F |\n[B]\n| G | Am | x2\n").starting()
    assert price[[2, 4]].tolist() == [COSTS.start_section, COSTS.start_line]


def test_ending_early_has_one_price_wherever_it_is() -> None:
    price = form(LINES).ending()
    # Twenty-four bars in the pattern, and the same in a rhythm of one's own.
    for last in (23, 47):
        assert np.unique(price[last - 23 : last]).tolist() == [COSTS.end_early]
        assert price[last] == 0.0
