"""What ways lead from bar to bar of a song, and what sounds alike on them?

Questions that the judge of the form puts to a `BarGraph`. All bars are indices into
`BarGraph.bars`.
"""

from collections import deque
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from evaluator.chart.graph import Bar, BarGraph


@dataclass(frozen=True, slots=True)
class Run:
    """Where bars that were lost or doubled may lie in the order of playing."""

    bars: tuple[int, ...]
    """The likeliest of the bars that sound alike."""
    every: tuple[int, ...]
    """All bars that they may be, in order."""


class Song:
    """One song's form, ready for questions."""

    def __init__(self, graph: BarGraph) -> None:
        self.graph = graph
        self._rank = _ranks(graph)

    def rank(self, bar: int) -> int:
        """Place in the written order; an `or` line has the places of the line above it."""
        return self._rank[bar]

    def farther(self, first: int, second: int) -> int:
        """The one farther on in the song, the second if they are level."""
        return first if self._rank[first] > self._rank[second] else second

    def between(self, start: int, goals: Collection[int]) -> tuple[int, ...] | None:
        """Bars strictly between on the shortest legal way to a goal; None if there is none."""
        came: dict[int, int] = {}
        queue = deque([start])
        while queue:
            bar = queue.popleft()
            for following in self.graph.successors[bar]:
                if following in came:
                    continue
                came[following] = bar
                if following in goals:
                    return self._walked(came, start, following)
                queue.append(following)
        return None

    def parts_sections(self, before: int, after: int) -> bool:
        """Whether the one ends a section and the other begins one: whole sections lie between."""
        written, section = self.graph.written, self._section
        following, preceding = written[self._rank[before] + 1], written[self._rank[after] - 1]
        return section(following) != section(before) and section(preceding) != section(after)

    @staticmethod
    def _walked(came: dict[int, int], start: int, goal: int) -> tuple[int, ...]:
        way: list[int] = []
        bar = came[goal]
        while bar != start:
            way.append(bar)
            bar = came[bar]
        return tuple(reversed(way))

    def nominally_between(self, start: int | None, goal: int | None) -> tuple[int, ...] | None:
        """Bars strictly between in the written order; None if the goal lies behind.

        None as start or goal stands for the beginning or the end of the song.
        """
        first = -1 if start is None else self._rank[start]
        last = len(self.graph.written) if goal is None else self._rank[goal]
        return self.graph.written[first + 1 : last] if last > first else None

    def line_of(self, bar: int) -> tuple[int, ...]:
        """Every bar of one playing of the line that the bar is in."""
        key = _line(self.graph.bars[bar])
        return tuple(other.index for other in self.graph.bars if _line(other) == key)

    def unit(self, bars: Iterable[int]) -> str:
        """`section` or `line` when the bars are exactly a whole one, `sections` when they are
        several whole ones, else `bars`."""
        these = frozenset(bars)
        sections = {self._section(b) for b in these}
        if len(sections) > 1:
            every = {b for b in self.graph.written if self._section(b) in sections}
            return "sections" if these == every else "bars"
        first = self.graph.bars[min(these)]
        section = {b for b in self.graph.written if self._section(b) == first.section_index}
        if these == section:
            return "section"
        main = {b for b in section if self.graph.bars[b].line == first.line}
        whole = (main, frozenset(self.line_of(first.index)))
        return "line" if len(these) > 1 and these in whole else "bars"

    def by_section(self, bars: Sequence[int]) -> list[tuple[int, ...]]:
        """The bars cut where a new section begins."""
        return [tuple(group) for _, group in groupby(bars, key=self._section)]

    def run(self, order: Sequence[int], first: int, last: int) -> Run:
        """How far `order[first:last]` can be moved and the rest still sounds the same."""
        sounds = [_sound(self.graph.bars[bar]) for bar in order]
        low, high = first, last
        while low > 0 and sounds[low - 1] == sounds[low - 1 + last - first]:
            low -= 1
        while high < len(order) and sounds[high] == sounds[high - (last - first)]:
            high += 1
        windows = [
            tuple(order[at : at + last - first]) for at in range(low, high - (last - first) + 1)
        ]
        best = max(
            (window for window in windows if self._in_order(window)),
            key=lambda window: (
                len(window) > 1 and self.unit(window) != "bars",
                self._tails(window),
                window,
            ),
            default=tuple(order[first:last]),
        )
        return Run(best, tuple(order[low:high]))

    def tail(self, bars: Iterable[int]) -> bool:
        """Whether all of the bars belong to a section's last counted line."""
        return all(self.graph.bars[bar].tail for bar in bars)

    def _tails(self, bars: Sequence[int]) -> bool:
        one = len({self._section(bar) for bar in bars}) == 1
        return one and self.tail(bars)

    def _in_order(self, bars: Sequence[int]) -> bool:
        ranks = [self._rank[bar] for bar in bars]
        return ranks == sorted(set(ranks))

    def _section(self, bar: int) -> int:
        return self.graph.bars[bar].section_index


def _line(bar: Bar) -> tuple[int, int, int, int]:
    return bar.section_index, bar.line, bar.copy, bar.alternative


def _sound(bar: Bar) -> tuple[object, ...]:
    """What is heard of a bar: chords, basses, the pattern's strikes, meter."""
    spans = tuple(
        (span.beat, None if span.chord is None else span.chord.tones, span.bass)
        for span in bar.spans
    )
    return (bar.meter, spans, bar.strikes)


def _ranks(graph: BarGraph) -> dict[int, int]:
    ranks = {bar: place for place, bar in enumerate(graph.written)}
    lines: dict[tuple[int, int, int], list[int]] = {}
    for bar in graph.bars:
        if bar.index in ranks:
            lines.setdefault(_line(bar)[:3], []).append(ranks[bar.index])
    for bar in graph.bars:
        if bar.index not in ranks:
            over = lines[_line(bar)[:3]]
            ranks[bar.index] = over[min(bar.place, len(over) - 1)]
    return ranks
