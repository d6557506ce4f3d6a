"""What ways lead from bar to bar, and what do they cost? Common practice, no source:
short slips are commoner than long ones, and a reader's eye falls on beginnings of lines."""

import numpy as np
import pytest

from evaluator.chart.graph import BarGraph
from evaluator.follow.costs import Costs
from evaluator.follow.form_prices import FormPrices, places
from evaluator.follow.grid import lay_out
from tests.follow.songs import CHORUS, HEAD, LINES, OPEN, OR_LINE, PLAIN, SOLO, VERSE, order, song


def form(graph: BarGraph) -> FormPrices:
    return FormPrices(lay_out(graph), Costs())


@pytest.mark.parametrize("text", [LINES, OR_LINE, OPEN, HEAD + VERSE + SOLO + CHORUS])
def test_legal_ways_are_free_and_no_others(text: str) -> None:
    graph = song(text)
    for bar in graph.bars:
        price = form(graph).leaving(bar.index)
        assert set(np.flatnonzero(price == 0)) == set(graph.successors[bar.index])
        assert (price >= 0).all()


def test_the_first_strike_may_come_after_bars_of_rest() -> None:
    graph = song(HEAD + "[Verse]\n| N.C. | N.C. | C | Am |\n| N.C. | F | G | C |\n")
    price = form(graph).starting()
    assert np.flatnonzero(price == 0).tolist() == [0, 1, 2]


def test_a_way_is_dearer_the_farther_it_leads() -> None:
    graph = song(LINES)
    price = form(graph).leaving(9)
    ahead = [price[bar] for bar in (11, 13, 14, 15)]
    back = [price[bar] for bar in (9, 7, 6, 5)]
    assert ahead == sorted(set(ahead))
    assert back == sorted(set(back))


def test_whole_lines_are_lost_and_doubled_more_easily_than_as_many_other_bars() -> None:
    graph = song(LINES)
    at_line_end, inside = form(graph).leaving(7), form(graph).leaving(8)
    assert at_line_end[12] < inside[13]
    assert at_line_end[4] < inside[5]


def test_going_back_to_take_up_again_is_cheaper_than_skipping_ahead() -> None:
    graph = song(LINES)
    price = form(graph).restarting(9)
    assert price[9] == price.min()
    assert price[8] < price[10]
    assert (price > 0).all()


def test_beginning_is_free_at_a_legal_start_and_dearer_inside() -> None:
    graph = song(HEAD + SOLO + VERSE + CHORUS)
    price = form(graph).starting()
    assert set(np.flatnonzero(price == 0)) == set(graph.starts) == {0, 4}
    opens_section, inside = price[8], price[9]
    assert 0 < opens_section < inside


def test_ending_is_free_at_a_legal_end_only() -> None:
    graph = song(HEAD + VERSE + CHORUS + SOLO)
    price = form(graph).ending()
    assert set(np.flatnonzero(price[:12] == 0)) == set(graph.finals) == {7, 11}
    np.testing.assert_array_equal(price[:12], price[12:])  # in whatever manner


def test_an_or_line_lies_beside_its_line() -> None:
    graph = song(OR_LINE)
    place = places(graph)
    main, other = order(graph, 5, 6, 7, 8), order(graph, -5, -6, -7, -8)
    assert place[main].tolist() == place[other].tolist() == [4, 5, 6, 7]


# -- from the pattern to a rhythm of one's own, and back -----------------------------------


@pytest.mark.parametrize("of", ["leaving", "restarting", "heard_again"])
@pytest.mark.parametrize("bar", [3, 7, 9, 23])
def test_taking_to_another_manner_costs_the_same_wherever_it_leads(of: str, bar: int) -> None:
    graph, costs = song(LINES), Costs()
    for manner, (stay, take) in enumerate([(slice(24), slice(24, 48)), (slice(24, 48), slice(24))]):
        price = getattr(form(graph), of)(bar + 24 * manner)
        assert price.shape == (48,)
        taking = costs.off_pattern if manner == 0 else costs.into_pattern
        np.testing.assert_allclose(price[take], price[stay] + taking, rtol=0, atol=1e-12)


@pytest.mark.parametrize("text", [LINES, OR_LINE, OPEN])
def test_no_other_manner_is_taken_to_for_nothing(text: str) -> None:
    graph = song(text)
    count = len(graph.bars)
    for laid in range(2 * count):
        price = form(graph).leaving(laid)
        free = set(np.flatnonzero(price == 0.0).tolist())
        home = laid // count * count
        assert free == {home + bar for bar in graph.successors[laid - home]}


def test_in_a_rhythm_of_ones_own_no_pattern_bears_witness() -> None:
    """Bars are lost and doubled there at the prices of a chart without patterns."""
    graph, costs = song(LINES), Costs()
    bare = form(song(PLAIN))
    for bar in (3, 7, 9, 15, 23):
        price = form(graph)
        np.testing.assert_array_equal(price.leaving(24 + bar)[24:], bare.leaving(bar))
        np.testing.assert_array_equal(price.restarting(24 + bar)[24:], bare.restarting(bar))
    assert form(graph).leaving(7)[9] == costs.jump_pattern != costs.jump


def test_a_take_may_begin_in_a_rhythm_of_ones_own() -> None:
    price, costs = form(song(LINES)).starting(), Costs()
    np.testing.assert_allclose(price[24:], price[:24] + costs.off_pattern)


def test_a_chart_without_a_pattern_has_one_manner() -> None:
    bare = form(song(PLAIN))
    assert [len(prices) for prices in (bare.starting(), bare.ending(), bare.leaving(0))] == [24] * 3
