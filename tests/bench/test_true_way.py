"""Is the true way priced as the follower prices the one it finds?"""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph
from evaluator.follow import follow
from evaluator.follow.costs import Costs
from tests.bench.true_way import SAME, TrueBars, dearer, reasons
from tests.follow.songs import LINES, heard, order, song
from tests.playing import Performance, play


def bars(take: Performance) -> TrueBars:
    return [(bar.index, bar.start, bar.end) for bar in take.truth.bars]


def jumped(graph: BarGraph) -> Performance:
    """A bar left out."""
    return play(graph, order(graph, *range(1, 10), *range(11, 25)), jitter_ms=10, seed=4)


def test_the_way_that_was_found_costs_the_same() -> None:
    graph = song(LINES)
    take = jumped(graph)
    assert abs(dearer(graph, bars(take), heard(take), follow(graph, heard(take)))) < SAME


def test_another_way_is_dearer() -> None:
    graph = song(LINES)
    take = jumped(graph)
    whole = [(index, *span) for index, (_, *span) in enumerate(bars(take))]
    assert dearer(graph, whole, heard(take), follow(graph, heard(take))) > Costs().jump_pattern


def test_a_dearer_way_than_the_true_one_was_lost_by_the_search() -> None:
    graph = song(LINES)
    take = jumped(graph)
    found = follow(graph, heard(take))
    assert dearer(graph, bars(take), heard(take), replace(found, fit=found.fit * 0.9)) < -SAME


def test_a_way_that_no_strike_fits_has_no_price() -> None:
    graph = song(LINES)
    take = jumped(graph)
    later = [(index, start + 500, end + 500) for index, start, end in bars(take)]
    assert dearer(graph, later, heard(take), follow(graph, heard(take))) == float("inf")


def test_every_take_is_in_one_line_of_the_table() -> None:
    table = reasons([-2.0, 0.0, 0.5, 1.0, 2.0, 7.0, float("inf")])
    assert [round(row.value * row.cases) for row in table] == [1, 1, 2, 1, 0, 2]
    assert sum(row.value for row in table) == pytest.approx(1.0)
