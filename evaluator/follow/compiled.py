"""How is a strike's step made fast?

By `kernel.pyx`, which Cython and a compiler of C++ make into a module when the program is
installed: the step of `Follower`, written once more. Where that could not be done, for want
of a compiler, `Follower` itself does the same, some ten times slower. Prices and tables are
those of the costs, the form and the grid; the kernel is given them and knows none of its own.

Hypotheses are kept in small types, since they are most of what a long take needs: 56 bytes
each.
"""

from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evaluator.follow import follower as plain
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import Cells, Follower
from evaluator.follow.grid import APART, Grid, Whole
from evaluator.follow.positions import Floats
from evaluator.take.strike import Strike

kernel: ModuleType | None
try:
    from evaluator.follow import kernel
except ImportError:
    kernel = None

CELL = np.dtype(
    [
        *((name, "f8") for name in ("cost", "beat_time", "ratio", "doubt", "usual", "amiss")),
        *(("position", "i4"), ("back", "i2"), ("kind", "i1"), ("bucket", "u1")),
    ],
    align=True,
)
"""A hypothesis as the kernel writes it."""
PLACE = np.dtype(
    [
        *((name, "f8") for name in ("wanted_before", "wanted_through", "wait", "halt")),
        *((name, "i4") for name in ("bar", "harmony", "kind", "span")),
    ],
    align=True,
)
BAR = np.dtype(
    [
        *(
            (name, "f8")
            for name in ("x", "length", "room", "onward_room", "wanted_by_end", "early", "bend")
        ),
        *((name, "i4") for name in ("first", "entry", "rest_after", "opens")),
    ],
    align=True,
)
START = np.dtype([("cost", "f8"), ("ratio", "f8"), ("position", "i4"), ("loose", "i4")], align=True)
"""A position, a bar and a beginning as the kernel reads them."""


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
        self._kernel = kernel.Kernel(numbers(self), tables(self))

    def _step(self, strike: Strike) -> Cells:
        heard, since, outside = self._hearing.hear(strike), self.since(strike), self._outside()
        gains = (heard.suits, heard.gain, heard.placed, heard.adorning)
        block = self._kernel.step(self, strike.time, since, outside, *gains)
        return Cells._make(map(np.frombuffer(block, CELL).__getitem__, Cells._fields))


def follower(
    grid: Grid, *, costs: Costs | None = None, transposed: int = 0, tempi: Floats = TEMPI
) -> Follower:
    """A follower with the fastest step that there is."""
    of = Follower if kernel is None else CompiledFollower
    return of(grid, costs=costs, transposed=transposed, tempi=tempi)


def ancestors(count: int, backs: list[Whole]) -> Whole:
    """(count,) the cell from which each of the last cells comes, -1 if none.

    `backs` are the back pointers of the strikes, the latest first.
    """
    if kernel is not None and backs and backs[0].dtype == CELL["back"]:
        cells = np.arange(count, dtype=CELL["back"])
        kernel.go_back(cells, backs)
        return cells
    cells = np.arange(count)
    for back in backs:
        # What has no past, -1, finds the last place: still none.
        cells = np.append(back, -1)[cells].astype(np.intp)
    return cells


Table = NDArray[Any]


def tables(of: Follower) -> dict[str, Table]:
    """What a kernel is to know of a song."""
    grid = of.grid
    cost, position, _, _, ratio = of.starts
    start = {"cost": cost, "ratio": ratio, "position": position, "loose": of.starts_loose}
    bar = {
        "x": grid.bar_x,
        "length": grid.bar_length,
        "onward_room": of.onward_room,
        "wanted_by_end": of.wanted_by_end,
        "early": of.early,
        "bend": of.bend,
        "opens": of.opens,
    }
    return {
        "x": grid.x,
        "places": _table(PLACE, grid, {"wait": of.wait, "halt": of.halt}),
        "bars": _table(BAR, grid, bar),
        "starts": _table(START, grid, start),
        "ahead": grid.ahead.astype(np.int32),
        "ways_out": of.form.ways_out,
        "near": plain.NEAR.astype(np.int32),
        "close": plain.CLOSE.astype(np.int32),
        "tempo_bounds": plain.TEMPO_BOUNDS,
        "turns": plain.TURNS,
        "section_turns": plain.SECTION_TURNS,
    }


def _table(of: np.dtype[np.void], grid: Grid, columns: dict[str, Table]) -> Table:
    """A table of columns that are given, or else the grid's of the same name."""
    count = len(next(iter(columns.values()))) if columns else len(grid.x)
    table = np.empty(count, of)
    for name in of.names or ():
        table[name] = columns[name] if name in columns else getattr(grid, name)
    return table


def numbers(of: Follower) -> dict[str, float]:
    """Prices and bounds by the names that the kernel has for them."""
    costs = of.costs
    return {
        "beam": costs.beam,
        "cells": costs.cells,
        "cells_at_first": costs.cells_at_first,
        "at_first": plain.AT_FIRST,
        "scatter_variance": costs.scatter**2,
        "drift_variance": costs.drift**2,
        "on_time": costs.on_time,
        "astray_price": costs.astray,
        "pull": costs.pull,
        "tempo_jump": costs.tempo_jump,
        "tempo_section": costs.tempo_section,
        "tempo_again": costs.tempo_again,
        "slower": of.slower,
        "slower_on": costs.slower_on,
        "slow_second": costs.slow_second,
        "tempo_back": costs.tempo_back,
        "slowed_from": plain.SLOWED[0],
        "slowed_to": plain.SLOWED[1],
        "breath": plain.BREATH,
        "held": plain.HELD,
        "pause": costs.pause,
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
        "astray_long": plain.ASTRAY_LONG,
        "adorned": plain.ADORNED[0],
        "adorned_times": plain.ADORNED[1],
        "pulling": plain.PULLING,
        "pulling_long": plain.PULLING_LONG,
        "longest_wait": plain.LONGEST_WAIT,
        "unhalted": costs.unhalted,
        "start_doubt": plain.START_DOUBT,
        "slowest": plain.SLOWEST_FASTEST[0],
        "fastest": plain.SLOWEST_FASTEST[1],
        "bridgeable": APART / 2,
    }
