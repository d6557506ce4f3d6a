"""Where in the song is the player now, one strike at a time?

Time warping with a form. A hypothesis ("cell") says: the last strike stood at this
position of the song, the beat was there at this moment, and a written second now lasts
so long. With every strike each cell is carried on: to the positions that are due about
now, over a halt to the next natural position, at a bar line along any way of the form
at its price, or to the beginning of a bar after breaking off. Per position and tempo the
cheapest survives (Bellman), cells dearer than the best by more than the beam are given
up, so the work per strike is bounded and a take costs time in proportion to its length.

The idea of warping with links between the places where a player may jump is JumpDTW
(Fremerey, Müller and Clausen, ISMIR 2010); that a way back or skip has a price and may
start anywhere follows Nakamura, Nakamura and Sagayama (IEEE/ACM TASLP 24(2), 2016).
Carrying a beat and a tempo along each path is the alpha-beta tracker of the textbooks.

Units: seconds of the take, written seconds along the song, costs in nats (`costs.py`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evaluator.follow.costs import TEMPI, TEMPO_SPREAD, Costs, placing
from evaluator.follow.form import Form
from evaluator.follow.grid import APART, Floats, Grid, Ints
from evaluator.follow.hearing import Hearing, register
from evaluator.take.strike import Strike

START, ONWARD, PAUSE, LEAP, RESTART, ORNAMENT = range(6)
"""How a strike was reached."""

NEAR = np.arange(-3, 3)
CLOSE = np.arange(-2, 2)
"""Positions about the one that is due, as offsets from the first one not before it."""

EARLIEST_LEAP = 0.2
"""Seconds before a bar line from which a strike may already belong to the next bar."""
HALT = 0.25
"""Seconds of lateness from which a halt is considered."""
ASTRAY = 0.35
"""Seconds of lateness or earliness beyond which a strike is not near its position."""
TEMPO_STEPS = 8
"""Tempo hypotheses of one position are told apart in steps of an octave's eighth."""


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Live hypotheses after one strike; all arrays are (A,)."""

    position: Ints
    cost: Floats
    beat_time: Floats
    """When the beat of `position` was, smoothed, seconds."""
    ratio: Floats
    """Played seconds per written second."""
    doubt: Floats
    """Relative variance of `ratio`."""
    back: Ints
    """Cell of the strike before; -1 at a start."""
    kind: NDArray[np.int8]
    """How the strike was reached."""


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """Ways to place one strike; all arrays are (M,)."""

    cost: Floats
    position: Ints
    source: Ints
    kind: NDArray[np.int8]
    late: Floats
    """Seconds after it was due; 0 where the time is free."""


class Follower:
    """Follows one take through one song; `push` each strike in order."""

    def __init__(self, grid: Grid, *, costs: Costs | None = None, transposed: int = 0) -> None:
        self.grid = grid
        self.costs = costs or Costs()
        self.form = Form(grid.graph, self.costs)
        self.steps: list[Cells] = []
        self.times: list[float] = []
        trust = self.costs.trust_pattern if grid.graph.has_patterns else self.costs.trust
        self._hearing = Hearing(grid.harmonies, self.costs, trust=trust, transposed=transposed)
        self._placing = placing(self.costs)
        self._starts = self._begin()
        self._cells = _no_cells()
        self._rank = np.zeros(len(grid.x) * _BUCKETS * 2, np.intp)
        self._bar_end = grid.bar_x + grid.bar_length
        self.wanted_by_end = _wanted_by_end(grid)

    def push(self, strike: Strike) -> None:
        """Carry every hypothesis over one more strike."""
        time = strike.time
        harmony_gain = self._hearing.gains(strike)
        place_gain = self._placing[register(strike)]
        ways = self._ways(time)
        grid = self.grid
        position, source = ways.position, ways.source
        pitch = harmony_gain[grid.harmony[position]]
        if len(self._cells.position):
            before = self._cells.position[source]
            same = (grid.span[before] == grid.span[position]) & (ways.kind <= PAUSE)
            echo = np.where(pitch > 0, self.costs.echo, self.costs.echo_foreign)
            pitch = np.where(same & (ways.kind != START), pitch * echo, pitch)
        gain = pitch + place_gain[grid.kind[position]]
        gain[ways.kind == ORNAMENT] = 0.0
        cost = ways.cost - gain
        self._cells = self._other_tempi(self._survivors(time, ways, cost))
        self.steps.append(self._cells)
        self.times.append(time)

    def _begin(self) -> Candidates:
        """All ways to begin, at every tempo; `late` holds the ratio."""
        price = self.form.starting()
        bars = np.flatnonzero(np.isfinite(price))
        where = np.concatenate((self.grid.first[bars], self.grid.entry[bars]))
        cost = np.concatenate((price[bars], price[bars]))
        where, index = np.unique(where, return_index=True)
        tempo = 0.5 * (np.log(TEMPI) / TEMPO_SPREAD) ** 2
        total = (cost[index][:, None] + tempo).ravel()
        count = len(total)
        return Candidates(
            cost=total,
            position=np.repeat(where, len(TEMPI)),
            source=np.full(count, -1),
            kind=np.full(count, START, np.int8),
            late=np.tile(TEMPI, len(where)),
        )

    def _ways(self, time: float) -> Candidates:
        """Every way to place a strike at this time, pitch left aside."""
        cells = self._cells
        if not len(cells.cost):
            return self._starts
        elapsed = time - cells.beat_time
        due = self.grid.x[cells.position] + elapsed / cells.ratio
        spread = self.costs.scatter**2 + (cells.doubt + self.costs.drift**2) * elapsed**2
        base = cells.cost + 0.5 * np.log(spread / self.costs.scatter**2) - self.costs.on_time
        best = float(cells.cost.min())
        found = [self._onward(base, elapsed, due, spread)]
        limit = best + self.costs.beam
        found.append(self._leaps(base, due, spread, limit))
        found.append(self._restarts(time))
        count = len(cells.cost)
        found.append(
            Candidates(
                cost=cells.cost + self.costs.ornament,
                position=cells.position,
                source=np.arange(count),
                kind=np.full(count, ORNAMENT, np.int8),
                late=np.zeros(count),
            )
        )
        if best + self.costs.beam > 0.0:
            found.append(self._starts)
        return Candidates(
            cost=np.concatenate([ways.cost for ways in found]),
            position=np.concatenate([ways.position for ways in found]),
            source=np.concatenate([ways.source for ways in found]),
            kind=np.concatenate([ways.kind for ways in found]),
            late=np.concatenate([ways.late for ways in found]),
        )

    def _onward(self, base: Floats, elapsed: Floats, due: Floats, spread: Floats) -> Candidates:
        """To positions due about now, or over a halt to the next natural ones."""
        grid, costs, cells = self.grid, self.costs, self._cells
        near = np.searchsorted(grid.x, due)[:, None] + NEAR
        target = np.concatenate((near, grid.ahead[cells.position]), axis=1)
        np.clip(target, 0, len(grid.x) - 1, out=target)
        distance = grid.x[target] - grid.x[cells.position][:, None]
        late = elapsed[:, None] - distance * cells.ratio[:, None]
        cost = np.minimum(0.5 * late**2 / spread[:, None], costs.astray)
        cost[np.abs(late) > ASTRAY] = np.inf
        halt = late[:, len(NEAR) :] > HALT
        cost[:, len(NEAR) :] = np.where(halt, costs.pause, np.inf)
        missed = grid.wanted_before[target] - grid.wanted_through[cells.position][:, None]
        cost += costs.missed * np.maximum(missed, 0.0)
        cost[target == cells.position[:, None]] += costs.again
        cost[(distance < 0) | (distance > APART / 2)] = np.inf
        cost += base[:, None]
        kind = np.full(target.shape, ONWARD, np.int8)
        kind[:, len(NEAR) :] = PAUSE
        late[:, len(NEAR) :] = 0.0
        keep = np.isfinite(cost)
        source = np.broadcast_to(np.arange(len(cost))[:, None], target.shape)
        return Candidates(cost[keep], target[keep], source[keep], kind[keep], late[keep])

    def _leaps(self, base: Floats, due: Floats, spread: Floats, limit: float) -> Candidates:
        """At a bar line, in time, along any way of the form but straight on."""
        grid, costs, cells = self.grid, self.costs, self._cells
        bar = grid.bar[cells.position]
        over = due - self._bar_end[bar]
        length = grid.bar_length[bar]
        source = np.flatnonzero((over > -EARLIEST_LEAP) & (over < length))
        if not len(source):
            return _NOTHING
        price = np.array([self.form.leaving(b) for b in bar[source].tolist()])
        price += base[source][:, None]
        row, to = np.nonzero(price < limit)
        price, source = price[row, to], source[row]
        straight = np.abs(grid.bar_x[to] - self._bar_end[bar[source]]) < 1e-6
        row, to, price, source = row[~straight], to[~straight], price[~straight], source[~straight]
        over = over[source]
        target = np.searchsorted(grid.x, grid.bar_x[to] + over)[:, None] + CLOSE
        np.clip(target, 0, len(grid.x) - 1, out=target)
        distance = grid.x[target] - grid.bar_x[to][:, None]
        late = (over[:, None] - distance) * cells.ratio[source][:, None]
        cost = np.minimum(0.5 * late**2 / spread[source][:, None], costs.astray)
        outside = (distance < 0) | (distance >= grid.bar_length[to][:, None])
        cost[(np.abs(late) > ASTRAY) | outside] = np.inf
        missed = self.wanted_by_end[bar[source]] - grid.wanted_through[cells.position[source]]
        missed = missed[:, None] + grid.wanted_before[target]
        missed -= grid.wanted_before[grid.first[to]][:, None]
        cost += price[:, None] + costs.missed * np.maximum(missed, 0.0)
        keep = cost < limit + costs.on_time
        where = np.broadcast_to(source[:, None], target.shape)
        kind = np.full(int(keep.sum()), LEAP, np.int8)
        return Candidates(cost[keep], target[keep], where[keep], kind, late[keep])

    def _restarts(self, time: float) -> Candidates:
        """Breaking off and taking up again at the beginning of a bar, after any time."""
        cells, grid = self._cells, self.grid
        best = int(cells.cost.argmin())
        position = int(cells.position[best])
        ahead = int(grid.ahead[position, 0])
        wait = (grid.x[ahead] - grid.x[position]) * cells.ratio[best]
        late = time - cells.beat_time[best] - min(wait, 4.0)
        if late < -0.25 * wait:
            return _NOTHING
        price = cells.cost[best] + self.form.restarting(int(grid.bar[position]))
        if late < HALT:
            price = price + self.costs.unhalted
        differs = np.flatnonzero(grid.entry != grid.first)
        target = np.concatenate((grid.first, grid.entry[differs]))
        cost = np.concatenate((price, price[differs]))
        count = len(target)
        return Candidates(
            cost=cost,
            position=target,
            source=np.full(count, best),
            kind=np.full(count, RESTART, np.int8),
            late=np.zeros(count),
        )

    def _survivors(self, time: float, ways: Candidates, cost: Floats) -> Cells:
        """The cheapest way to each position and tempo, within the beam."""
        before, costs = self._cells, self.costs
        keep = np.flatnonzero(cost < cost.min() + costs.beam)
        keep = keep[np.argsort(cost[keep], kind="stable")]
        start = ways.kind[keep] == START
        source = ways.source[keep]
        if len(before.cost):
            ratio = np.where(start, ways.late[keep], before.ratio[source])
        else:
            ratio = ways.late[keep]
        bucket = np.clip((np.log2(ratio) + 1.5) * TEMPO_STEPS, 0, _BUCKETS - 1).astype(np.intp)
        passed_over = ways.kind[keep] == ORNAMENT
        key = (ways.position[keep] * _BUCKETS + bucket) * 2 + passed_over
        self._rank[key[::-1]] = np.arange(len(key))[::-1]
        first = np.flatnonzero(self._rank[key] == np.arange(len(key)))[: costs.cells]
        keep, ratio = keep[first], ratio[first]
        kind, source = ways.kind[keep], ways.source[keep]
        late = np.where(kind == START, 0.0, ways.late[keep])
        if not len(before.cost):
            doubt = np.full(len(keep), START_DOUBT)
            return Cells(
                ways.position[keep],
                cost[keep],
                np.full(len(keep), time),
                ratio,
                doubt,
                source,
                kind,
            )
        return self._updated(time, ways.position[keep], cost[keep], ratio, late, source, kind)

    def _other_tempi(self, cells: Cells) -> Cells:
        """The best hypothesis on a bar line again at half and at double tempo."""
        if not len(cells.cost) or cells.kind[0] != ONWARD:
            return cells
        position = cells.position[0]
        if position != self.grid.first[self.grid.bar[position]]:
            return cells
        twins = np.zeros(2, np.intp)
        ratio = cells.ratio[0] * np.array((0.5, 2.0))
        twins = twins[(ratio > SLOWEST_FASTEST[0]) & (ratio < SLOWEST_FASTEST[1])]
        ratio = ratio[(ratio > SLOWEST_FASTEST[0]) & (ratio < SLOWEST_FASTEST[1])]
        joined = np.concatenate
        return Cells(
            position=joined((cells.position, cells.position[twins])),
            cost=joined((cells.cost, cells.cost[twins] + self.costs.tempo_jump)),
            beat_time=joined((cells.beat_time, cells.beat_time[twins])),
            ratio=joined((cells.ratio, ratio)),
            doubt=joined((cells.doubt, cells.doubt[twins])),
            back=joined((cells.back, cells.back[twins])),
            kind=joined((cells.kind, cells.kind[twins])),
        )

    def _updated(
        self,
        time: float,
        position: Ints,
        cost: Floats,
        ratio: Floats,
        late: Floats,
        source: Ints,
        kind: NDArray[np.int8],
    ) -> Cells:
        """New beat and tempo of each surviving way."""
        before, costs = self._cells, self.costs
        late = np.clip(late, -0.15, 0.15)
        span = np.maximum(time - late - before.beat_time[source], 1e-3)
        doubt = before.doubt[source]
        noise = 2 * costs.scatter**2
        strength = doubt * span**2 / (doubt * span**2 + noise)
        moves = (kind == ONWARD) | (kind == LEAP)
        new_ratio = np.where(moves, ratio * (1 + strength * late / span), ratio)
        new_doubt = np.where(moves, doubt * (1 - strength) + costs.bend**2 * span, doubt)
        start = kind == START
        new_doubt[start] = START_DOUBT
        beat_time = time - (1 - costs.pull) * late
        ornament = kind == ORNAMENT
        beat_time[ornament] = before.beat_time[source[ornament]]
        np.clip(new_ratio, *SLOWEST_FASTEST, out=new_ratio)
        return Cells(position, cost, beat_time, new_ratio, new_doubt, source, kind)


START_DOUBT = 0.012
SLOWEST_FASTEST = (0.35, 2.9)
"""Bounds of the ratio of played to written time."""
_BUCKETS = 3 * TEMPO_STEPS

_NOTHING = Candidates(
    cost=np.zeros(0),
    position=np.zeros(0, np.intp),
    source=np.zeros(0, np.intp),
    kind=np.zeros(0, np.int8),
    late=np.zeros(0),
)


def _no_cells() -> Cells:
    none = np.zeros(0)
    return Cells(
        position=np.zeros(0, np.intp), cost=none, beat_time=none, ratio=none, doubt=none,
        back=np.zeros(0, np.intp), kind=np.zeros(0, np.int8),
    )  # fmt: skip


def _wanted_by_end(grid: Grid) -> Floats:
    """(N,) expected strikes on the line through the end of each bar."""
    last = np.zeros(len(grid.first), np.intp)
    last[grid.bar] = np.arange(len(grid.bar))
    return grid.wanted_through[last]
