"""What does it cost to go from the end of one bar, or from anywhere, to another bar?

Legal ways are free. Any other way is a mistake of form: bars missing (forward), bars
played again (back), or a restart. The price grows with the logarithm of the distance,
since short slips are commoner than long ones, and is lower where a line begins, because
that is where a reader's eye falls. In a chart with patterns, whose strikes are better
witnesses, whole lines and sections are lost as easily as single bars.
"""

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow.costs import Costs
from evaluator.follow.grid import Grid, is_rest, opening
from evaluator.follow.positions import AS_WRITTEN, Floats, Ints

LEAST = 1e-3
"""Nats: no mistake of form is free, and what is free is no mistake."""

TOGETHER = 32
"""Bars whose ways are priced together: few enough for what is at hand to stay so."""

FARTHEST_COUNT = 32
"""Bars by which a tail is miscounted at most; the work of a strike grows with it."""


class FormPrices:
    """Prices of the ways from bar to bar of one song as laid, computed as they are needed.

    Bars are those laid on the line (`grid.py`), N of them: where the song lies twice, a way
    from the one manner to the other costs in addition what taking to it does.
    """

    def __init__(self, grid: Grid, costs: Costs) -> None:
        graph = grid.graph
        self._graph, self.costs = graph, costs
        self._manners = grid.manners
        self._any_rhythm = grid.any_rhythm
        self._written_out = grid.written_out
        self.place = places(graph)
        self._line_start = np.array([bar.place == 0 for bar in graph.bars])
        self.section_start = np.array([opens_section(bar) for bar in graph.bars])
        """Whether a section opens with each bar of the song."""
        self._section = np.cumsum(self.section_start[list(graph.written)])[self.place]
        self._line_end = _before(graph, self._line_start)
        self._section_end = _before(graph, self.section_start)
        self._written = np.array(graph.written, np.intp)
        self._tail_from, self._tail_until = _tails(graph)
        here = self.place
        self._by_tail = (self._tail_until[here + 1] > here + 1) | (self._tail_from[here] <= here)
        several = [len(graph.successors[bar]) > 1 for bar in graph.written]
        self._forks = np.cumsum([False, *several])
        count = len(self.place)
        self._log = np.log(np.maximum(np.arange(count + 1), 1))
        self._apart = np.concatenate((np.arange(count + 1), np.arange(count, 0, -1)))
        """Bars that lie between, by how far another lies ahead; behind, below zero, as well."""

    def leaving(self, laid: int) -> Floats:
        """(N,) price from the end of a bar, at the bar line, to each bar."""
        row: Floats = self.ways_out[laid]
        return row

    @cached_property
    def ways_out(self) -> Floats:
        """(N, N) the same from every bar: a take needs most of them, and at once they cost less."""
        manners, count = self._manners_laid(), len(self.place)
        ways = np.empty((len(manners), count, len(manners), count))
        for manner in manners:
            for bar in range(0, count, TOGETHER):
                bars = np.arange(bar, min(bar + TOGETHER, count))
                prices = self._leaving(bars, self._manners[manner] == AS_WRITTEN)
                for to in manners:
                    np.add(
                        prices,
                        self._taking_to(to, manner),
                        out=ways[manner, bars[0] : bars[-1] + 1, to],
                    )
        return ways.reshape(len(manners) * count, -1)

    def restarting(self, laid: int) -> Floats:
        """(N,) price from anywhere in a bar, after a halt, to the beginning of each."""
        return self._from(self._restarting, laid)

    def heard_again(self, laid: int) -> Floats:
        """(N,) the same where nothing could be heard in between."""
        return self._from(self._heard_again, laid)

    def _from(self, prices: Callable[[int, bool], Floats], laid: int) -> Floats:
        """(N,) prices from a bar as laid, to the bars of every manner."""
        manner, bar = divmod(laid, len(self._graph.bars))
        price = prices(bar, self._manners[manner] == AS_WRITTEN)
        return np.concatenate([price + self._taking_to(to, manner) for to in self._manners_laid()])

    def _manners_laid(self) -> range:
        return range(len(self._manners))

    def _taking_to(self, to: int, manner: int) -> float:
        """Price of taking to another manner; none of staying with one's own."""
        if to == manner:
            return 0.0
        return (
            self.costs.into_pattern if self._manners[to] == AS_WRITTEN else self.costs.off_pattern
        )

    def starting(self) -> Floats:
        """(N,) price of beginning the take with each bar."""
        graph, costs = self._graph, self.costs
        price = costs.start_bar + costs.farther * np.log1p(self.place)
        for bar in graph.bars:
            if bar.place == 0:
                opens = opens_section(bar)
                price[bar.index] = costs.start_section if opens else costs.start_line
        price[[*graph.starts, *opening(graph)]] = 0.0
        return np.concatenate([price + self._taking_to(to, 0) for to in self._manners_laid()])

    def ending(self) -> Floats:
        """(N,) price of ending the take with each bar."""
        price = np.full(len(self._graph.bars), self.costs.end_early)
        price[list(self._graph.finals)] = 0.0
        return np.tile(price, len(self._manners))

    def cut_short(self) -> Floats:
        """(N,) price of going on from each bar beats before its end."""
        graph, costs = self._graph, self.costs
        # A rest is not held; what ends a passage that goes round mostly ends no line.
        held = np.array([not is_rest(bar) and bar.index not in graph.finals for bar in graph.bars])
        price = np.where(self._line_end & held, costs.short_line, costs.short)
        if self._written_out:
            price = np.full(len(graph.bars), costs.short_written)
        return np.tile(price, len(self._manners))

    def waiting(self) -> Floats:
        """(N,) price of a halt before the first strike of each bar."""
        price = np.where(self._line_start, self.costs.pause_line, self.costs.pause)
        return np.tile(price, len(self._manners))

    def outside(self, in_breath: int) -> float:
        """Price of strikes outside the song, so many of them next to it without a silence.

        Nothing where no pattern says how a song goes on: an ending is played out freely there.
        """
        costs = self.costs
        if not self._any_rhythm:
            return 0.0
        return costs.noodling + min(costs.in_breath * in_breath, costs.in_breath_most)

    def _leaving(self, bars: Ints, patterned: bool) -> Floats:
        """(B, N) price from the ends of some bars, at the bar line, to each bar, in one manner."""
        costs, apart = self.costs, np.maximum(self._apart, 1)
        jump = costs.jump_pattern if patterned else costs.jump
        lines = costs.far_by_lines_pattern if patterned else costs.far_by_lines
        ahead = self.place - self.place[bars, None] - 1
        price: Floats = (jump + self._far(apart, costs.far))[ahead]
        whole = np.ix_(self._line_end[bars], self._line_start)
        price[whole] = (jump + self._far(apart, lines))[ahead[whole]]
        if patterned:
            whole = np.ix_(self._section_end[bars], self.section_start)
            sections = self._section - self._section[bars, None] - 1
            most = (
                costs.far_by_sections_pattern
                + costs.farther_section * self._log[np.abs(sections[whole])]
            )
            price[whole] = np.minimum(price[whole], jump + most)
        for row, bar in enumerate(bars.tolist()):
            if self._by_tail[bar]:
                targets, counts = self._within_tail(bar)
                price[row, targets] = costs.tail + costs.farther * self._log[counts]
            if bar in self._graph.finals and patterned:
                price[row, bar] = costs.last_again
        np.maximum(price, LEAST, out=price)
        for row, bar in enumerate(bars.tolist()):
            price[row, list(self._graph.successors[bar])] = 0.0
        return price

    def _within_tail(self, bar: int) -> tuple[Ints, Ints]:
        """Bars to which a miscounted tail leads, and how many bars are lost or added on the way."""
        written, here = self._written, int(self.place[bar])
        last = min(int(self._tail_until[here + 1]), here + 1 + FARTHEST_COUNT)
        begin = max(int(self._tail_from[here]), here + 1 - FARTHEST_COUNT)
        ahead, back = written[here + 2 : last + 1], written[begin : here + 1]
        if written[here] == bar and self._forks[last] == self._forks[here]:
            lost = np.arange(1, len(ahead) + 1)
        else:
            # Bars that need not be played are not lost: ranges have shorter ways. From an `or`
            # line no way leads on within the line that it stands for.
            steps = self._steps(bar, last) if len(ahead) else {}
            ahead = np.array([target for target in ahead.tolist() if target in steps], np.intp)
            lost = np.array([max(steps[target] - 1, 1) for target in ahead.tolist()], np.intp)
        again = np.arange(len(back), 0, -1)
        return np.concatenate((ahead, back)), np.concatenate((lost, again))

    def _steps(self, bar: int, last: int) -> dict[int, int]:
        """Steps on the shortest legal way from a bar to each that stands no later than `last`."""
        steps, reached = {bar: 0}, [bar]
        while reached:
            ahead = dict.fromkeys(
                then
                for one in reached
                for then in self._graph.successors[one]
                if then not in steps and self.place[then] <= last
            )
            for then in ahead:
                steps[then] = steps[reached[0]] + 1
            reached = list(ahead)
        return steps

    def _restarting(self, bar: int, patterned: bool) -> Floats:
        """Price from anywhere in a bar, after a halt, to the beginning of each bar."""
        costs = self.costs
        ahead = self.place - self.place[bar]
        lines = costs.far_resuming_at_line_pattern if patterned else costs.far_by_lines
        away = np.where(self._line_start, lines, costs.far)
        price: Floats = costs.restart + self._far(np.abs(ahead) + 1, away)
        price[ahead > 0] += costs.skip_ahead
        return price

    def _heard_again(self, bar: int, patterned: bool) -> Floats:
        """Price from anywhere in a bar to the beginning of each, where nothing could be heard
        in between and the player may have gone on: in any manner the same."""
        ahead = self.place - self.place[bar]
        price: Floats = self.costs.restart + self.costs.farther * self._log[np.abs(ahead) + 1]
        price[ahead < 0] += self.costs.skip_ahead
        return price

    def _far(self, bars: Ints, away: Floats | float) -> Floats:
        """Price of distances in bars, from 1; `away`: more for landing so far from what is near.

        Whole lines are lost more easily, and whole sections however long they are.
        """
        price: Floats = self.costs.farther * self._log[bars] + away * (bars > 2)
        return price


def opens_section(bar: Bar) -> bool:
    """Whether a section of the song, or another round of it, begins with the bar."""
    return bar.place == 0 and bar.line == 0 and bar.copy == 0


def _before(graph: BarGraph, starting: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The bars after which one of these may follow, and those at which the song may end."""
    following = graph.successors
    return np.array([not then or any(starting[bar] for bar in then) for then in following])


def _tails(graph: BarGraph) -> tuple[Ints, Ints]:
    """For each place in the written order the first of the tail that reaches to it, the place
    behind it if it is in none; and (one more) the first place from it on that is in no tail."""
    inside = [graph.bars[bar].tail for bar in graph.written]
    count = len(inside)
    begins, until = np.arange(1, count + 1), np.arange(count + 1)
    for place in range(count):
        if inside[place]:
            begins[place] = begins[place - 1] if place and inside[place - 1] else place
    for place in range(count - 2, -1, -1):
        if inside[place]:
            until[place] = until[place + 1]
    return begins, until


def places(graph: BarGraph) -> Ints:
    """(N,) place of each bar in the written order; an `or` line has its main line's places."""
    place = np.zeros(len(graph.bars), np.intp)
    main: dict[tuple[int, int, int], list[int]] = {}
    for position, index in enumerate(graph.written):
        bar = graph.bars[index]
        place[index] = position
        main.setdefault(bar.line_played, []).append(position)
    for bar in graph.bars:
        if bar.alternative:
            over = main[bar.line_played]
            place[bar.index] = over[min(bar.place, len(over) - 1)]
    return place
