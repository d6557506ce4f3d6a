"""How is a strike's step made fast?

By `kernel`, which is compiled when the program is installed: the step of `Follower`,
written once more in C (`step.c`; `kernel.c` is what Python sees of it). Where it could not
be compiled, for want of a compiler, `Follower` itself does the same, some ten times slower.
Prices and tables are those of the costs, the form and the grid; the kernel is given them
and knows none of its own.

Hypotheses are kept in small types, since they are most of what a long take needs: 47 bytes
each.
"""

from collections.abc import Callable
from types import ModuleType
from typing import TypeVar
from weakref import WeakMethod

import numpy as np

from evaluator.follow import follower as plain
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import Cells, Follower
from evaluator.follow.grid import APART, Floats, Grid, Whole
from evaluator.take.strike import Strike

kernel: ModuleType | None
try:
    from evaluator.follow import kernel
except ImportError:
    kernel = None


class CompiledFollower(Follower):
    """Follows as `Follower` does, by the compiled step."""

    def __init__(
        self,
        grid: Grid,
        *,
        costs: Costs | None = None,
        transposed: int = 0,
        tempi: Floats = TEMPI,
    ) -> None:
        if kernel is None:
            raise ImportError("the follower's kernel was not compiled")
        super().__init__(grid, costs=costs, transposed=transposed, tempi=tempi)
        self._dearest_leap = self.costs.beam + self.costs.on_time + ROUNDING
        prices = lent(self._leaving), lent(self._restarting)
        self._kernel = kernel.Kernel(*tables(self), *prices)
        self._cells = Cells(*(np.zeros(0, of) for of in TYPES))

    def _step(self, strike: Strike) -> Cells:
        heard, place = self._hearing.gains(strike)
        at = self._cells
        blocks = self._kernel.step(
            strike.time,
            self.since(strike),
            self._outside(),
            self._hearing.suits(strike),
            heard,
            place,
            at.position,
            at.cost,
            at.beat_time,
            at.ratio,
            at.doubt,
            at.amiss,
        )
        return Cells(*map(np.frombuffer, blocks, TYPES))

    def _leaving(self, bar: int) -> tuple[Whole, Floats]:
        """Bars to which a way out of this one is within the beam, and its price."""
        price = self.form.leaving.__wrapped__(bar)  # the kernel remembers
        bars = np.flatnonzero(price < self._dearest_leap)
        return bars.astype(np.int32), price[bars]


T = TypeVar("T")


def lent(method: Callable[[int], T]) -> Callable[[int], T]:
    """A method for a kernel to call, which keeps nobody alive: what a follower remembers of
    a long take is hundreds of megabytes, and goes with it at once."""
    reference = WeakMethod(method)

    def ask(bar: int) -> T:
        found = reference()
        assert found is not None  # its follower is at work
        return found(bar)

    return ask


ROUNDING = 1e-6
"""Nats beyond a bound, so that no rounding leaves out what is just within it."""

TYPES = tuple(np.dtype(code) for code in ("i4", "f8", "f8", "f8", "f8", "f8", "i2", "i1"))
"""Of the fields of `Cells` as the kernel writes them."""
BACK = TYPES[6]


def follower(grid: Grid, *, transposed: int = 0, tempi: Floats = TEMPI) -> Follower:
    """A follower with the fastest step that there is."""
    of = Follower if kernel is None else CompiledFollower
    return of(grid, transposed=transposed, tempi=tempi)


def ancestors(count: int, backs: list[Whole]) -> Whole:
    """(count,) the cell from which each of the last cells comes, -1 if none.

    `backs` are the back pointers of the strikes, the latest first.
    """
    if kernel is not None and all(back.dtype == BACK for back in backs):
        return np.frombuffer(kernel.ancestors(count, backs), BACK)
    cells = np.arange(count)
    for back in backs:
        # What has no past, -1, finds the last place: still none.
        cells = np.append(back, -1)[cells].astype(np.intp)
    return cells


Tables = tuple[dict[str, Floats], dict[str, Whole], dict[str, float]]


def tables(of: Follower) -> Tables:
    """Everything by its name that a kernel is to know of a song and its prices."""
    return _floats(of), _wholes(of), _numbers(of)


def _floats(of: Follower) -> dict[str, Floats]:
    grid, (cost, _, _, _, ratio) = of.grid, of.starts
    return {
        "x": grid.x,
        "wanted_before": grid.wanted_before,
        "wanted_through": grid.wanted_through,
        "bar_x": grid.bar_x,
        "bar_length": grid.bar_length,
        "room": grid.room,
        "onward_room": of.onward_room,
        "wanted_by_end": of.wanted_by_end,
        "start_cost": cost,
        "start_ratio": ratio,
        "tempo_bounds": plain.TEMPO_BOUNDS,
        "turns": plain.TURNS,
        "section_turns": plain.SECTION_TURNS,
    }


def _wholes(of: Follower) -> dict[str, Whole]:
    grid = of.grid
    tables = {
        "bar": grid.bar,
        "harmony": grid.harmony,
        "kind": grid.kind,
        "span": grid.span,
        "ahead": grid.ahead,
        "first": grid.first,
        "rest_after": grid.rest_after,
        "entry": grid.entry,
        "opens": of.opens,
        "start_position": of.starts[1],
        "start_loose": of.starts_loose,
        "near": plain.NEAR,
        "close": plain.CLOSE,
    }
    return {name: np.ascontiguousarray(table, np.int32) for name, table in tables.items()}


def _numbers(of: Follower) -> dict[str, float]:
    costs = of.costs
    return {
        "beam": costs.beam,
        "cells": of.most_cells,
        "scatter_variance": costs.scatter**2,
        "drift_variance": costs.drift**2,
        "bend_variance": costs.bend**2,
        "on_time": costs.on_time,
        "astray_price": costs.astray,
        "pause": costs.pause,
        "pull": costs.pull,
        "tempo_jump": costs.tempo_jump,
        "tempo_section": costs.tempo_section,
        "again": costs.again,
        "beside": of.beside,
        "hasty_price": of.hasty,
        "hasty": plain.HASTY,
        "apiece": plain.APIECE,
        "missed": costs.missed,
        "ornament": costs.ornament,
        "echo": of.echo,
        "wrong": costs.wrong,
        "earliest_leap": plain.EARLIEST_LEAP,
        "leaving": plain.LEAVING,
        "halting": plain.HALTING,
        "leaders": plain.LEADERS,
        "halt": plain.HALT,
        "astray": plain.ASTRAY,
        "pulling": plain.PULLING,
        "longest_wait": plain.LONGEST_WAIT,
        "short_bar": costs.short,
        "unhalted": costs.unhalted,
        "start_doubt": plain.START_DOUBT,
        "slowest": plain.SLOWEST_FASTEST[0],
        "fastest": plain.SLOWEST_FASTEST[1],
        "bridgeable": APART / 2,
    }
