"""Where in the song is the player now, one strike at a time?

Time warping with a form. A hypothesis ("cell") says: the last strike stood at this
position of the song, the beat was there at this moment, and a written second now lasts
so long. With every strike each cell is carried on: to the positions that are due about
now, over a halt to the next natural position, at a bar line along any way of the form
at its price, or to the beginning of a bar after breaking off. Per position and tempo the
cheapest survives (Bellman), cells dearer than the best by more than the beam are given
up, so the work per strike is bounded and a take costs time in proportion to its length.
What the strikes under one sign of the chart lack adds up to one wrong chord and no more.

The idea of warping with links between the places where a player may jump is JumpDTW
(Fremerey, Müller and Clausen, ISMIR 2010); that a way back or skip has a price and may
start anywhere follows Nakamura, Nakamura and Sagayama (IEEE/ACM TASLP 24(2), 2016).
Carrying a beat and a tempo along each path is the alpha-beta tracker of the textbooks.

Units: seconds of the take, written seconds along the song, costs in nats (`costs.py`).
"""

from collections.abc import Sequence
from copy import copy
from functools import cached_property, lru_cache
from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from evaluator.follow.costs import HIGH, LOW, TEMPI, TEMPO_SPREAD, Costs
from evaluator.follow.form_prices import FormPrices
from evaluator.follow.grid import APART, Grid, Whole
from evaluator.follow.hearing import Hearing
from evaluator.follow.positions import FREELY, Floats, Ints
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

KINDS_OF_WAY = range(9)
START, ONWARD, PAUSE, LEAP, RESTART, ORNAMENT, SHORT, BESIDE, SLOWER = KINDS_OF_WAY
"""How a strike was reached."""
UNDER_A_SIGN = (ONWARD, PAUSE, BESIDE, SLOWER)
"""Ways on which one stays under a sign of the chart, for as long as it holds."""

NEAR = np.arange(-3, 3)
CLOSE = np.arange(-2, 2)
"""Positions about the one that is due, as offsets from the first one not before it."""

EARLIEST_LEAP = 0.2
"""Seconds before a bar line from which a strike may already belong to the next bar."""
LEAVING = 3
"""Cheapest hypotheses of each bar that may leap."""
HALTING = 8.0
"""Hypotheses dearer than the best by more than this are not carried over a halt, nats."""
HELD = 0.5
"""Seconds of a halt that may be a beat too many, counted or held: hardly any song is faster."""
LEADERS = 12
"""Cheapest hypotheses among which the player may have broken off, one a bar."""
HALT = 0.25
"""Seconds of lateness from which a halt is considered."""
ASTRAY = 0.35
"""Seconds of lateness or earliness beyond which a strike is not near its position,"""
ASTRAY_LONG = 0.15
"""or if that is more, such a share of the time since the last strike: three times what a tempo
strays from itself (`costs.DRIFT`)."""
HASTY = 0.1
"""Seconds after a strike before which another is hardly one of its own: sixteenths at 150 a
minute are as far apart."""
APIECE = 0.16
"""Seconds within which strikes may be pieces of one: hands apart, a chord that is rolled."""
ADORNED = (0.3, 2.0)
"""An ornament goes on for so many seconds, and so many times its length."""
PULLING = 0.15
"""Seconds of lateness beyond which a strike moves the beat no further,"""
PULLING_LONG = 0.1
"""or if that is more, such a share of the time since the last strike."""
REMEMBERED = 4096
"""Bars from which the prices of form are kept."""
BREATH = 1.0
"""Seconds of silence that part what is played about a song from the song, and of a halt after
which the song may be taken up at another tempo."""
AT_FIRST = 24
"""Strikes from which on nearly all that may still be true of a beginning, or of what came after a
halt, is among the cheapest."""
LONGEST_WAIT = 4.0
"""Seconds after which any silence is long enough to have broken off."""
TEMPO_STEPS = 8
"""Tempo hypotheses of one position are told apart in steps of an octave's eighth."""
_BUCKETS = 4 * TEMPO_STEPS
TEMPO_BOUNDS = np.exp2(np.arange(_BUCKETS) / TEMPO_STEPS - 2)
"""(32,) slowest ratio of each step; slower ones than the first are told apart no further."""
START_DOUBT = 0.012
"""Relative variance of the ratio of played to written time at a start."""
TURNS = np.array([0.5, 2.0])
SECTION_TURNS = np.exp2(np.array([-2, -1, 1, 2]) / 3)
"""Ratios of tempi at which a bar, or a section or the song after a breath, is gone on with."""
SLOWED = (1.2, 4.0)
"""A hard passage is played so many times as slowly as what came before it."""
CLOSING = 4
"""Last bars of the song, each of which may be slower by as much as a section: a closing ritard."""
SLOWEST_FASTEST = (0.25, 4.0)
"""Bounds of that ratio."""


class Cells(NamedTuple):
    """Live hypotheses after one strike, the cheapest first; all arrays are (A,)."""

    position: Whole
    cost: Floats
    beat_time: Floats
    """When the beat of `position` was, smoothed, seconds."""
    ratio: Floats
    """Played seconds per written second."""
    doubt: Floats
    """Relative variance of `ratio`."""
    usual: Floats
    """Its value before the player slowed down for a hard passage; 0 in no such passage."""
    amiss: Floats
    """What the strikes under the sign of `position` lack so far, nats."""
    back: Whole
    """Cell of the strike before; -1 at a start."""
    kind: Whole
    """How the strike was reached."""

    def only(self, kept: Ints | NDArray[np.bool_]) -> "Cells":
        """Some of the hypotheses, by their places or a mask."""
        return Cells._make(column[kept] for column in self)


Ways = tuple[Floats, Ints, Ints, Ints, Floats]
"""Ways to place one strike: cost (its own gain left aside), position, source cell, kind, and
lateness in seconds; where the time is free, by how much the tempo changes (at a start the
ratio). Arrays are (M,)."""


class Follower:
    """Follows one take through one song; `push` each strike in order."""

    def __init__(
        self,
        grid: Grid,
        *,
        costs: Costs | None = None,
        transposed: int = 0,
        tempi: Floats = TEMPI,
    ) -> None:
        """`transposed`: semitones, whole octaves too; `tempi`: ratios of played to written length
        of a beat that are tried at a start."""
        self.grid = grid
        self.costs = costs or Costs()
        self.form = FormPrices(grid, self.costs)
        patterns = grid.any_rhythm
        self.echo = self.costs.echo_pattern if patterns else self.costs.echo
        """Weight of a further strike under one sign of the chart."""
        self.hasty = 0.0 if grid.written_out else self.costs.hasty
        """Price of a strike of its own so soon after another; written notes may be as fast,"""
        self.beside = inf if grid.written_out else self.costs.beside
        """and a piece of the last strike: each written note has a place of its own."""
        self.slower = inf if grid.written_out else self.costs.slower
        """Price of a slow passage: of written notes each is told by its keys, at whatever tempo."""
        self.steps: list[Cells] = []
        self.times: list[float] = []
        self.wanted_by_end = _wanted_by_end(grid)
        self.early = self.form.cut_short()
        """(N,) price of going on from each bar beats before its end."""
        self.halt = np.full(len(grid.x), self.costs.pause)
        """(P,) price of a halt of at least a beat before each position."""
        for opening in (grid.first, grid.entry):
            self.halt[opening] = self.form.waiting()
        self._hearing = Hearing(grid, self.costs, transposed=transposed)
        self.trusted = self._hearing.trusted
        self.starts = self._begin(tempi)
        """Every way to begin."""
        self.loose = (grid.manner == FREELY) & patterns
        """(N,) bars before and after which one may play freely as well, at no price."""
        self.starts_loose = self.loose[grid.bar[self.starts[1]]].astype(np.intp)
        """The same of each beginning."""
        self._restarting = lru_cache(maxsize=REMEMBERED)(self.form.restarting)
        self._cells = _no_cells()
        self._in_breath = 0
        self._open_until = AT_FIRST
        self._last: Strike | None = None
        self._deaf = False
        self._bar_end = grid.bar_x + grid.bar_length
        self.onward_room = _onward_room(grid)
        """(N,) written seconds after each bar within which the next strike may fall for a leap."""
        ahead = grid.x[grid.ahead[:, 0]]
        ends = (grid.bar_x + grid.bar_length)[grid.bar]
        self.wait = np.where(ahead > grid.x, ahead, ends) - grid.x
        """(P,) written seconds from each position to the next at which a strike is natural."""
        self._differs = np.flatnonzero(grid.entry != grid.first)
        closing = np.isin(grid.of, grid.graph.written[-CLOSING:])
        self.bend = self.costs.bend**2 + self.costs.held_back**2 * closing
        """(N,) relative variance that the tempo may gain with each beat of a bar."""
        self.opens = self.form.section_start[grid.of] | closing
        """(N,) whether a section opens with the bar, or the song comes to its close."""

    def push(self, strike: Strike, gaps: Sequence[Gap] = ()) -> None:
        """Carry every hypothesis over one more strike; `gaps`: when nothing could be heard."""
        if self.times:
            on = strike.time - self.times[-1] < BREATH
            self._in_breath = self._in_breath + 1 if on else 0
            self._deaf = any(self.times[-1] < gap.end <= strike.time for gap in gaps)
        self._cells = self._step(strike)
        self.steps.append(self._cells)
        self.times.append(strike.time)
        self._last = strike

    @cached_property
    def _rank(self) -> Ints:
        """Room for the rank of the cheapest way to each position and tempo: much, in a long song,
        and for the step in Python alone."""
        return np.zeros(len(self.grid.x) * _BUCKETS * 4, np.intp)

    def begun_at(self, first: int) -> "Follower":
        """The same, as if the take had begun with that strike: of those before nothing is known."""
        late = copy(self)
        cells = self.steps[first]
        nowhere, started = np.full_like(cells.back, -1), np.full_like(cells.kind, START)
        late.times = self.times[first:]
        late.steps = [cells._replace(back=nowhere, kind=started), *self.steps[first + 1 :]]
        return late

    def since(self, strike: Strike) -> float:
        """Seconds since the strike before; none between one hand and the other, of one strike."""
        if self._last is None:
            return inf
        gap = strike.time - self._last.time
        if gap >= APIECE:
            return gap
        registers = {self._hearing.hear(one).register for one in (self._last, strike)}
        return 0.0 if registers == {LOW, HIGH} else gap

    def _outside(self) -> float:
        """Price of beginning now, for the strikes that came before."""
        return self.form.outside(self._in_breath)

    def _step(self, strike: Strike) -> Cells:
        found = self._ways(strike, self.since(strike))
        cost, position, source, kind, late = found[0]
        if len(found) > 1:
            cost, position, source, kind, late = map(np.concatenate, zip(*found, strict=True))
        gain, amiss = self._gain(strike, position, source, kind)
        cost = cost - gain
        keep = (cost < cost.min() + self.costs.beam).nonzero()[0]
        keep = keep[cost[keep].argsort(kind="stable")]
        ways = (cost[keep], position[keep], source[keep], kind[keep], late[keep])
        return self._other_tempi(self._as_before(self._carried(strike.time, ways, amiss[keep])))

    def _gain(
        self, strike: Strike, position: Ints, source: Ints, kind: Ints
    ) -> tuple[Floats, Floats]:
        """What the strike's notes and place speak for each way, and what is amiss after it."""
        span, cells = self.grid.span, self._cells
        notes = self._hearing.hear(strike)
        heard = notes.gain[self.grid.harmony[position]]
        weight, before = np.ones(len(kind)), np.zeros(len(kind))
        if len(cells.cost):
            same = (span[cells.position[source]] == span[position]) & _GOES_ON[kind]
            weight = np.where(same, self.echo, weight)
            before = np.where(same, cells.amiss[source], before)
        lacking = np.maximum(-heard, 0.0)
        amiss = before + weight * lacking
        # A tone of the chord that is a piece of it is not alone.
        suits = np.where((kind == BESIDE) & (heard >= 0.0), max(notes.suits, 0.0), notes.suits)
        heard = weight * heard + (self.beyond(amiss) - self.beyond(before)) + suits
        placed = np.where(kind == BESIDE, 0.0, notes.placed[self.grid.kind[position]])
        gain = np.where(kind == ORNAMENT, 0.0, heard + placed)
        if len(cells.cost):
            amiss = np.where(kind == ORNAMENT, cells.amiss[source], amiss)
        return gain, amiss

    def beyond(self, amiss: Floats) -> Floats:
        """What that is beyond one mistake: it is forgiven."""
        return np.maximum(amiss - self.costs.wrong, 0.0)

    def _begin(self, tempi: Floats) -> Ways:
        """All ways to begin, at each of these tempi."""
        price = self.form.starting()
        where = np.concatenate((self.grid.first, self.grid.entry))
        where, index = np.unique(where, return_index=True)
        tempo = 0.5 * (np.log(tempi) / TEMPO_SPREAD) ** 2
        cost = (np.concatenate((price, price))[index][:, None] + tempo).ravel()
        position, ratio = np.repeat(where, len(tempi)), np.tile(tempi, len(where))
        return cost, position, np.full(len(cost), -1), np.full(len(cost), START), ratio

    def _ways(self, strike: Strike, since: float) -> list[Ways]:
        """Every way to place a strike."""
        cells, costs, time = self._cells, self.costs, strike.time
        if not len(cells.cost):
            return [self.starts]
        elapsed = time - cells.beat_time
        due = self.grid.x[cells.position] + elapsed / cells.ratio
        spread = costs.scatter**2 + (cells.doubt + costs.drift**2) * (elapsed * elapsed)
        base = cells.cost + 0.5 * np.log(spread / costs.scatter**2) - costs.on_time
        base += np.where(cells.usual > 0.0, costs.slow_second * elapsed, 0.0)
        limit = float(cells.cost[0]) + costs.beam
        found = [self._near(base, elapsed, due, spread, since), self._passed_over()]
        found.append(self._beside(strike, elapsed, since))
        found += self._slowed(base, elapsed)
        found += self._halted(base, elapsed)
        found += self._leaps(base, elapsed, due, spread)
        found += self._restarts(time)
        found += self._bar_lines(due)
        outside = self._outside()
        before = np.where(self.starts_loose, 0.0, outside)
        if (anew := limit > before).any():
            cost, position, source, kind, ratio = self.starts
            cost = cost[anew] + before[anew]
            found.append((cost, position[anew], source[anew], kind[anew], ratio[anew]))
        return found

    def _near(
        self, base: Floats, elapsed: Floats, due: Floats, spread: Floats, since: float
    ) -> Ways:
        """To the positions that are due about now, so many seconds after the last strike."""
        grid, costs, cells = self.grid, self.costs, self._cells
        here = cells.position[:, None]
        target = grid.x.searchsorted(due)[:, None] + NEAR
        np.minimum(target, len(grid.x) - 1, out=target)
        np.maximum(target, here, out=target)
        late = elapsed[:, None] - (grid.x[target] - grid.x[here]) * cells.ratio[:, None]
        cost = late * late
        cost *= (0.5 / spread)[:, None]
        np.minimum(cost, costs.astray, out=cost)
        cost += base[:, None]
        cost += self._missed(here, target)
        cost += np.where(target == here, costs.again, self.hasty * (since < HASTY))
        keep = (np.abs(late) < _astray(elapsed)[:, None]).ravel().nonzero()[0]
        kind = np.full(len(keep), ONWARD)
        return cost.ravel()[keep], target.ravel()[keep], keep // len(NEAR), kind, late.ravel()[keep]

    def _passed_over(self) -> Ways:
        """The strike is an ornament: everything stays where it is."""
        return self._staying(ORNAMENT, self._cells.cost + self.costs.ornament)

    def _beside(self, strike: Strike, elapsed: Floats, since: float) -> Ways:
        """The strike is a piece of the last one, or of an ornament that is written there."""
        piece = (elapsed < APIECE) | (since < HASTY)
        cells = self._cells
        lasts = ADORNED[0] + ADORNED[1] * self.wait[cells.position] * cells.ratio
        adorning = self._hearing.hear(strike).adorning[self.grid.harmony[cells.position]]
        adorning = np.where(elapsed < lasts, adorning, np.inf)
        price = np.minimum(np.where(piece, self.beside, np.inf), adorning)
        return self._staying(BESIDE, self._cells.cost + price)

    def _staying(self, kind: int, cost: Floats) -> Ways:
        stay = (cost < self._cells.cost[0] + self.costs.beam).nonzero()[0]
        count = len(stay)
        position = self._cells.position[stay]
        return cost[stay], position, stay, np.full(count, kind), np.zeros(count)

    def _ahead(self) -> tuple[Ints, Floats]:
        """(F, A) the next natural positions of those hypotheses that may be carried over a halt,
        and the written seconds to them."""
        grid, cells = self.grid, self._cells
        few = int((cells.cost < cells.cost[0] + HALTING).argmin()) or len(cells.cost)
        here = cells.position[:few]
        target = grid.ahead[here]
        return target, grid.x[target] - grid.x[here][:, None]

    def _slowed(self, base: Floats, elapsed: Floats) -> list[Ways]:
        """To the next natural positions, in time at the slower tempo of a hard passage. It does not
        begin with a halt as long as a breath."""
        costs, cells = self.costs, self._cells
        target, distance = self._ahead()
        few = len(target)
        before, elapsed = cells.ratio[:few, None], elapsed[:few, None]
        ratio = np.zeros_like(distance)
        np.divide(elapsed, distance, where=distance > 0.0, out=ratio)
        on = cells.usual[:few, None] > 0.0
        usual = np.where(on, cells.usual[:few, None], before)
        begins = elapsed - distance * before < BREATH
        begins &= np.arange(few)[:, None] < LEADERS
        slower = (ratio > SLOWED[0] * usual) & (ratio < SLOWED[1] * usual) & (on | begins)
        keep = slower.ravel().nonzero()[0]
        source, target = keep // target.shape[1], target.ravel()[keep]
        turn = ratio.ravel()[keep] / cells.ratio[source]
        price = np.where(on[source, 0], costs.slower_on, self.slower)
        cost = base[source] + price + self._missed(cells.position[source], target)
        return [(cost, target, source, np.full(len(keep), SLOWER), turn)]

    def _halted(self, base: Floats, elapsed: Floats) -> list[Ways]:
        """Over a halt to the next natural positions."""
        cells = self._cells
        target, distance = self._ahead()
        few = len(target)
        late = elapsed[:few, None] - distance * cells.ratio[:few, None]
        keep = ((late > HALT) & (distance < APART / 2)).ravel().nonzero()[0]
        late, source, target = late.ravel()[keep], keep // target.shape[1], target.ravel()[keep]
        halt = np.where(late > HELD, self.halt[target], self.costs.pause)
        cost = base[source] + halt + self._missed(cells.position[source], target)
        return self._at_any_tempo(cost, target, source, PAUSE, late > BREATH)

    def _missed(self, here: Ints, target: Ints) -> Floats:
        """Price of the strikes that are wanted between two positions, and were not played."""
        missed = self.grid.wanted_before[target] - self.grid.wanted_through[here]
        return np.maximum(missed, 0.0) * self.costs.missed

    def _at_any_tempo(
        self, cost: Floats, target: Ints, source: Ints, kind: int, breath: NDArray[np.bool_]
    ) -> list[Ways]:
        """Ways over a halt; where it was long enough for a breath, at other tempi as well."""
        turns = np.append(1.0, SECTION_TURNS)
        price = np.where(turns == 1.0, 0.0, self.costs.tempo_again)
        keep = ((turns == 1.0) | breath[:, None]).ravel().nonzero()[0]
        row, turn = keep // len(turns), keep % len(turns)
        cost = cost[row] + price[turn]
        return [(cost, target[row], source[row], np.full(len(row), kind), turns[turn])]

    def _leaps(self, base: Floats, elapsed: Floats, due: Floats, spread: Floats) -> list[Ways]:
        """At a bar line, in time, along any way of the form but straight on."""
        grid, costs, cells = self.grid, self.costs, self._cells
        limit = float(cells.cost[0]) + costs.beam
        bar = self.left(grid.bar[cells.position], due)
        over = due - self._bar_end[bar]
        source = ((over > -EARLIEST_LEAP) & (over < self.onward_room[bar])).nonzero()[0]
        source = source[_first_few(bar[source].tolist(), LEAVING)]
        if not len(source):
            return []
        price = self.form.ways_out[bar[source]] + base[source][:, None]
        row, to = (price < limit).nonzero()
        straight = np.abs(grid.bar_x[to] - self._bar_end[bar[source[row]]]) < 1e-6
        row, to = row[~straight], to[~straight]
        price, source = price[row, to], source[row]
        target = grid.x.searchsorted(grid.bar_x[to] + over[source])[:, None] + CLOSE
        np.minimum(target, len(grid.x) - 1, out=target)
        np.maximum(target, 0, out=target)
        into = grid.x[target] - grid.bar_x[to][:, None]
        late = (over[source][:, None] - into) * cells.ratio[source][:, None]
        cost = np.minimum(late * late * (0.5 / spread[source])[:, None], costs.astray)
        unplayed = self.wanted_by_end[bar[source]] - grid.wanted_through[cells.position[source]]
        skipped = grid.wanted_before[target] - grid.wanted_before[grid.first[to]][:, None]
        cost += price[:, None] + costs.missed * np.maximum(unplayed[:, None] + skipped, 0.0)
        inside = (into >= 0) & (into < grid.room[to][:, None])
        inside &= np.abs(late) < _astray(elapsed[source])[:, None]
        keep = (inside & (cost < limit + costs.on_time)).ravel().nonzero()[0]
        source = source[keep // len(CLOSE)]
        cost, target, late = cost.ravel()[keep], target.ravel()[keep], late.ravel()[keep]
        return [(cost, target, source, np.full(len(keep), LEAP), late)]

    def left(self, bar: Ints, due: Floats) -> Ints:
        """(A,) the bars at whose ends players are who were in these and are due there now.

        Bars of rest pass without a strike.
        """
        behind = self.grid.rest_after[bar]
        while (passed := (behind != bar) & (due - self._bar_end[behind] > -EARLIEST_LEAP)).any():
            bar = np.where(passed, behind, bar)
            behind = self.grid.rest_after[bar]
        return bar

    def restarting(self, bar: int) -> Floats:
        """(N,) price of taking up at the beginning of each bar after having been in this one."""
        return self.form.heard_again(bar) if self._deaf else self._restarting(bar)

    def _restarts(self, time: float) -> list[Ways]:
        """Breaking off and taking up again at the beginning of a bar, after any time."""
        cells, grid = self._cells, self.grid
        position, beat_time = int(cells.position[0]), float(cells.beat_time[0])
        ahead = int(grid.ahead[position, 0])
        wait = float(grid.x[ahead] - grid.x[position]) * float(cells.ratio[0])
        late = time - beat_time - min(wait, LONGEST_WAIT)
        if late < HALT:
            return []
        if late > BREATH:
            self._open_until = len(self.times) + AT_FIRST
        leaders = _first_few(grid.bar[cells.position[:LEADERS]].tolist(), 1)
        bars = grid.bar[cells.position[leaders]].tolist()
        price = np.array([self.restarting(bar) for bar in bars])
        price += cells.cost[leaders][:, None]
        row = price.argmin(axis=0)
        price, source = price.min(axis=0), np.array(leaders)[row]
        cost = np.concatenate((price, price[self._differs]))
        target = np.concatenate((grid.first, grid.entry[self._differs]))
        source = np.concatenate((source, source[self._differs]))
        return self._at_any_tempo(cost, target, source, RESTART, np.full(len(cost), late > BREATH))

    def _bar_lines(self, due: Floats) -> list[Ways]:
        """A bar line before its time: the bar was cut short, or is begun again without a halt."""
        cells, grid, costs = self._cells, self.grid, self.costs
        found: list[tuple[float, int, int, int]] = []
        for place in _first_few(grid.bar[cells.position[:LEADERS]].tolist(), 1):
            bar, cost = int(grid.bar[cells.position[place]]), float(cells.cost[place])
            if not EARLIEST_LEAP <= due[place] - grid.bar_x[bar] < grid.bar_length[bar] - ASTRAY:
                continue
            following = np.flatnonzero(self.form.leaving(bar) == 0.0).tolist()
            into = [(to, SHORT, float(self.early[bar])) for to in following]
            for to, kind, price in (*into, (bar, RESTART, costs.unhalted)):
                for target in dict.fromkeys((int(grid.first[to]), int(grid.entry[to]))):
                    found.append((cost + price, target, place, kind))
        if not found:
            return []
        prices, targets, sources, kinds = map(np.array, zip(*found, strict=True))
        return [(prices, targets, sources, kinds, np.ones(len(found)))]

    def _carried(self, time: float, ways: Ways, amiss: Floats) -> Cells:
        """The cheapest way to each position and tempo, with its new beat and tempo."""
        before, costs = self._cells, self.costs
        cost, position, source, kind, late = ways
        start = kind == START
        turn = np.where(_MAY_TURN[kind], late, 1.0)
        ratio = np.where(start, late, before.ratio[source] * turn) if len(before.cost) else late
        bucket = np.maximum(TEMPO_BOUNDS.searchsorted(ratio, side="right") - 1, 0)
        usual = self._usual(source, kind, turn)
        key = ((position * _BUCKETS + bucket) * 2 + (kind == ORNAMENT)) * 2 + (usual > 0.0)
        order = np.arange(len(key))
        self._rank[key[::-1]] = order[::-1]
        first = (self._rank[key] == order).nonzero()[0][: self._most_cells()]
        cost, position, source, kind = cost[first], position[first], source[first], kind[first]
        ratio, late, start, amiss = ratio[first], late[first], start[first], amiss[first]
        turned, usual = turn[first] != 1.0, usual[first]
        if not len(before.cost):
            now, doubt = np.full(len(first), time), np.full(len(first), START_DOUBT)
            return Cells(position, cost, now, ratio, doubt, usual, amiss, source, kind)
        moved = _MOVES_BEAT[kind]
        most = np.maximum(PULLING, PULLING_LONG * (time - before.beat_time[source]))
        late = np.minimum(np.maximum(late, -most), most) * moved
        span = np.maximum(time - late - before.beat_time[source], 1e-3)
        doubt = before.doubt[source]
        strength = doubt * span * span
        strength /= strength + 2 * costs.scatter**2
        ratio = ratio * (1 + strength * late / span)
        np.minimum(np.maximum(ratio, SLOWEST_FASTEST[0]), SLOWEST_FASTEST[1], out=ratio)
        doubt = np.where(
            moved, doubt * (1 - strength) + self.bend[self.grid.bar[position]] * span, doubt
        )
        doubt = np.where(start | turned, START_DOUBT, doubt)
        now = np.where(_STAYS[kind], before.beat_time[source], time - (1 - costs.pull) * late)
        return Cells(position, cost, now, ratio, doubt, usual, amiss, source, kind)

    def _usual(self, source: Ints, kind: Ints, turn: Floats) -> Floats:
        """`Cells.usual` after each way: none where the song is begun, or the tempo is a new one."""
        before = self._cells
        if not len(before.cost):
            return np.zeros(len(kind))
        usual = before.usual[source]
        usual = np.where((kind == SLOWER) & (usual == 0.0), before.ratio[source], usual)
        anew = (kind == START) | (kind == RESTART) | ((kind == PAUSE) & (turn != 1.0))
        return np.where(anew, 0.0, usual)

    def _most_cells(self) -> int:
        """So many hypotheses may be kept alive after the strike that is being placed."""
        is_open = len(self.times) < self._open_until
        return self.costs.cells_at_first if is_open else self.costs.cells

    def _other_tempi(self, cells: Cells) -> Cells:
        """The best hypothesis on a bar line again at other tempi."""
        if not len(cells.cost) or cells.kind[0] != ONWARD:
            return cells
        position = cells.position[0]
        bar = self.grid.bar[position]
        if position != self.grid.first[bar]:
            return cells
        turns = SECTION_TURNS if self.opens[bar] else TURNS
        price = self.costs.tempo_section if self.opens[bar] else self.costs.tempo_jump
        low, high = SLOWEST_FASTEST
        others = float(cells.ratio[0]) * turns
        others = others[(low < others) & (others < high)]
        count = len(cells.cost)
        cells = cells.only(np.append(np.arange(count), np.zeros(len(others), np.intp)))
        cells.cost[count:] += price
        cells.ratio[count:] = others
        return cells

    def _as_before(self, cells: Cells) -> Cells:
        """The best hypothesis that ends a hard passage on a bar line, again at the tempo before."""
        on_line = cells.position == self.grid.first[self.grid.bar[cells.position]]
        back = ((cells.usual > 0.0) & on_line & _MAY_END[cells.kind]).nonzero()[0][:1]
        if not len(back):
            return cells
        count = len(cells.cost)
        cells = cells.only(np.append(np.arange(count), back))
        cells.cost[count:] += self.costs.tempo_back
        cells.ratio[count:] = cells.usual[count:]
        cells.usual[count:] = 0.0
        return cells


def _astray(elapsed: Floats) -> Floats:
    """Seconds beyond which a strike so long after the last one is not near its position."""
    return np.maximum(ASTRAY, ASTRAY_LONG * elapsed)


_GOES_ON = np.array([kind in UNDER_A_SIGN for kind in KINDS_OF_WAY])
_STAYS = np.array([kind in (ORNAMENT, BESIDE) for kind in KINDS_OF_WAY])
_MAY_TURN = np.array([kind in (PAUSE, RESTART, SLOWER) for kind in KINDS_OF_WAY])
_MAY_END = np.array([kind in (ONWARD, SLOWER) for kind in KINDS_OF_WAY])
_MOVES_BEAT = np.array([kind in (ONWARD, LEAP) for kind in KINDS_OF_WAY])


def _first_few(bars: list[int], few: int) -> list[int]:
    """Places in the list of the first few of each bar."""
    seen: dict[int, int] = {}
    places = []
    for place, bar in enumerate(bars):
        seen[bar] = seen.get(bar, 0) + 1
        if seen[bar] <= few:
            places.append(place)
    return places


def _onward_room(grid: Grid) -> Floats:
    """(N,) written seconds after each bar within which the next strike may fall for a leap."""
    ways = [(bar, then) for bar, bars in enumerate(grid.graph.successors) for then in bars]
    found = grid.bar_length.copy()
    if ways:
        for manner in range(len(grid.manners)):
            bar, then = np.array(ways).T + manner * len(grid.graph.bars)
            np.maximum.at(found, bar, grid.room[then])
    return found


def _no_cells() -> Cells:
    none, nowhere = np.zeros(0), np.zeros(0, np.intp)
    return Cells(nowhere, none, none, none, none, none, none, nowhere, nowhere)


def _wanted_by_end(grid: Grid) -> Floats:
    """(N,) expected strikes on the line through the end of each bar."""
    last = np.zeros(len(grid.first), np.intp)
    last[grid.bar] = np.arange(len(grid.bar))
    return grid.wanted_through[last]
