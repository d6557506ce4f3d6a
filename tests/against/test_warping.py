"""The core without forms and clocks is plain time warping: librosa's, to the last digit.

With every strike at one moment, a chart of one bar whose positions lie close together, no
price on time and none of the ways of a song within reach, what is left of the follower is
the recursion D(i, j) = C(i, j) + min(D(i-1, j) + again, D(i-1, j-1), D(i-1, j-2) + missed):
a strike stays at its position, goes on to the next or passes one over, however soon it comes
and with no gain or price of being a piece of the one before. That is
`librosa.sequence.dtw` (ISC licence) with the steps (1, 0), (1, 1), (1, 2), and with no
prices on them the asymmetric step pattern of Sakoe and Chiba (1978).

Worked examples: Müller, Fundamentals of Music Processing (2015), and its notebook C3S2; the
asymmetric costs, 6 for both, are those of the R and Python packages dtw (Giorgino 2009).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from unittest import mock

import numpy as np
import numpy.typing as npt
import pytest

from evaluator.chart import read_chart
from evaluator.follow.compiled import CompiledFollower, kernel
from evaluator.follow.costs import HIGH, TEMPI, Costs
from evaluator.follow.follower import Follower
from evaluator.follow.grid import Grid, lay_out
from evaluator.follow.hearing import Heard
from evaluator.follow.positions import KINDS, Floats
from evaluator.follow.trace import best_chain
from evaluator.take.strike import Strike


def left_alone(*_: object, **__: object) -> Callable[[object], object]:
    """In the place of numba's decorators: twenty seconds of compiling spared, for functions that
    the warping does not need."""
    return lambda function: function


@cache
def librosas_warping() -> Callable[..., tuple[Floats, npt.NDArray[np.intp]]]:
    """Loaded where it is asked for: it takes a second."""
    import numba

    with mock.patch.multiple(numba, vectorize=left_alone, guvectorize=left_alone):
        from librosa.sequence import dtw
    return dtw


NEVER = 1e9
"""Nats: not within reach."""
CLOSE = 1e-3
"""Written seconds between two positions."""
FOLLOWERS = [Follower] if kernel is None else [Follower, CompiledFollower]

X_FIRST, Y = [1, 3, 3, 8, 1], [2, 0, 0, 8, 7, 2]
X_SECOND = [1, 3, 9, 2, 1]


def plain_costs(again: float, missed: float) -> Costs:
    """No price but for staying at a position and for passing one over."""
    out_of_reach = dict.fromkeys(
        ("pause", "tempo_jump", "tempo_section", "beside", "ornament", "jump", "jump_pattern",
         "tail", "last_again", "restart", "short", "unhalted", "noodling", "end_early"),
        NEVER,
    )  # fmt: skip
    plain = {
        "scatter": 1e9,
        "on_time": 0.0,
        "astray": 0.0,
        "hasty": 0.0,
        "echo": 1.0,
        "wrong": NEVER,
        "pull": 1.0,
    }
    return Costs(beam=NEVER / 2, cells=30_000, again=again, missed=missed, **out_of_reach, **plain)


def positions(count: int) -> Grid:
    """One bar of so many positions, each with a harmony of its own and a strike wanted."""
    grid = lay_out(read_chart("title: One Bar\nkey: C major\ntempo: 60\n[A]\n| C |\n"))
    every = np.arange(count)
    return replace(
        grid,
        x=every * CLOSE,
        beat=every * CLOSE,
        bar=np.zeros(count, np.intp),
        harmony=every,
        kind=np.zeros(count, np.intp),
        wanted_before=every.astype(float),
        wanted_through=every + 1.0,
        ahead=np.minimum(every[:, None] + np.arange(1, 5), count - 1),
        span=every,
        harmonies=grid.harmonies[:1] * count,
    )


def warped(of: type[Follower], cost: Floats, again: float, missed: float) -> Follower:
    """A follower that was given a strike for each row, and its costs as they stand there."""
    follower = of(positions(cost.shape[1]), costs=plain_costs(again, missed), tempi=TEMPI[[4]])
    follower.form.outside = lambda in_breath: NEVER  # type: ignore[method-assign]
    for row in cost:
        heard = Heard(-row, 0.0, np.full(len(row), np.inf), HIGH, np.zeros(KINDS))
        follower._hearing.hear = lambda *_, heard=heard: heard  # type: ignore[method-assign,misc]
        follower.push(Strike(0.0, 0.0, (0,), (60,), (64,), rolled=False))
    return follower


def accumulated(follower: Follower, count: int) -> Floats:
    """(strikes, positions) cost of the cheapest way to each cell; infinite where none leads."""
    table = np.full((len(follower.steps), count), np.inf)
    for row, step in zip(table, follower.steps, strict=True):
        np.minimum.at(row, step.position, step.cost)
    return table


def by_librosa(cost: Floats, again: float, missed: float) -> tuple[Floats, Sequence[int]]:
    """Its accumulated costs, and the position of each strike on the way to the last cell."""
    table, way = librosas_warping()(
        C=cost,
        step_sizes_sigma=np.array([[1, 0], [1, 1], [1, 2]]),
        weights_add=np.array([again, 0.0, missed]),
        weights_mul=np.ones(3),
    )
    return table, [int(column) for _, column in way[::-1]]


def distances(x: list[int], y: list[int]) -> Floats:
    return np.abs(np.subtract.outer(x, y)).astype(float)


@pytest.mark.parametrize("of", FOLLOWERS)
@pytest.mark.parametrize(("again", "missed"), [(0.0, 0.0), (1.0, 1.5), (0.25, 3.0)])
@pytest.mark.parametrize("shape", [(6, 4), (12, 12), (40, 61)])
@pytest.mark.parametrize("seed", range(4))
def test_costs_are_librosas_to_the_last_digit(
    of: type[Follower], again: float, missed: float, shape: tuple[int, int], seed: int
) -> None:
    # Multiples of 1/64, so that no sum depends on its order.
    cost = np.random.default_rng(seed).integers(0, 640, shape) / 64
    found = accumulated(warped(of, cost, again, missed), shape[1])
    wanted, _ = by_librosa(cost, again, missed)
    np.testing.assert_array_equal(found, wanted)


@pytest.mark.parametrize("of", FOLLOWERS)
def test_costs_of_any_size_are_librosas_to_the_last_digit(of: type[Follower]) -> None:
    cost = np.random.default_rng(9).exponential(size=(50, 30))
    found = accumulated(warped(of, cost, 0.0, 0.0), 30)
    np.testing.assert_array_equal(found, by_librosa(cost, 0.0, 0.0)[0])


@pytest.mark.parametrize("of", FOLLOWERS)
@pytest.mark.parametrize("seed", range(4))
def test_the_way_is_librosas(of: type[Follower], seed: int) -> None:
    cost = np.random.default_rng(seed).exponential(size=(30, 20))
    cost[-1, -1] = -1e6  # the way ends with the last position, as librosa's does
    chain, _ = best_chain(warped(of, cost, 0.0, 0.0))
    assert [link.position for link in chain] == by_librosa(cost, 0.0, 0.0)[1]


@pytest.mark.parametrize("of", FOLLOWERS)
@pytest.mark.parametrize("x", [X_FIRST, X_SECOND])
def test_the_worked_examples_cost_six(of: type[Follower], x: list[int]) -> None:
    cost = distances(x, Y)
    found = accumulated(warped(of, cost, 0.0, 0.0), len(Y))
    assert found[-1, -1] == by_librosa(cost, 0.0, 0.0)[0][-1, -1] == 6.0


@pytest.mark.parametrize("of", FOLLOWERS)
def test_what_is_the_same_warps_along_the_diagonal(of: type[Follower]) -> None:
    """The middle of example E of the same book's subsequence warping: 0 1 2 3 against itself."""
    cost = distances([0, 1, 2, 3], [0, 1, 2, 3])
    cost[-1, -1] -= 1.0
    chain, total = best_chain(warped(of, cost, 0.0, 0.0))
    assert [link.position for link in chain] == [0, 1, 2, 3]
    assert total == -1.0
