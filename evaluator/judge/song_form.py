"""What ways lead from bar to bar of a song, and what sounds alike on them?

Questions that the judge of the form puts to a `BarGraph`. All bars are indices into
`BarGraph.bars`.
"""

from collections import deque
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TypeVar

from evaluator.chart.graph import Bar, BarGraph

FARTHEST = 64
"""Places over which a bar is moved; the longest tail that anybody counts is far shorter."""
Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class Run:
    """Where bars that were lost or doubled may lie in the order of playing."""

    bars: tuple[int, ...]
    """The likeliest of the bars that sound alike."""
    every: tuple[int, ...]
    """All bars that they may be, in order."""


class SongForm:
    """What the judges of the form ask about the song: what lies between two bars, which bars sound
    alike, what is a whole line."""

    def __init__(self, graph: BarGraph) -> None:
        self.graph = graph
        self._rank = _ranks(graph)
        sounds = [_sound(bar) for bar in graph.bars]
        number = {sound: place for place, sound in enumerate(dict.fromkeys(sounds))}
        self._sounds = [number[sound] for sound in sounds]
        written = [graph.bars[bar] for bar in graph.written]
        self._lines = _gathered(
            ((*bar.line_played, bar.alternative), bar.index) for bar in graph.bars
        )
        self._sections = _gathered((bar.section_index, bar.index) for bar in written)
        self._main_lines = _gathered(((bar.section_index, bar.line), bar.index) for bar in written)

    def rank(self, bar: int) -> int:
        """Place in the written order; an `or` line has the places of the line above it."""
        return self._rank[bar]

    def farther(self, first: int, second: int) -> int:
        """Of two bars the one farther on in the song; the second if neither is."""
        return first if self._rank[first] > self._rank[second] else second

    def between(self, start: int, goals: Collection[int]) -> tuple[int, ...] | None:
        """The bars between a bar and the nearest of some goals by the shortest legal way; None if
        no way leads to any. Neither end is among them."""
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
        """Whether a new section begins between two bars: whole sections lie between them."""
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
        """The bars between two in the written order, neither end among them; None if the goal does
        not lie ahead. None as `start` or `goal` stands for the beginning or the end of the song."""
        first = -1 if start is None else self._rank[start]
        last = len(self.graph.written) if goal is None else self._rank[goal]
        return self.graph.written[first + 1 : last] if last > first else None

    def line_of(self, bar: int) -> tuple[int, ...]:
        """Every bar of one playing of the line that the bar is in."""
        one = self.graph.bars[bar]
        return self._lines[(*one.line_played, one.alternative)]

    def unit(self, bars: Collection[int]) -> str:
        """`section` or `line` when the bars are exactly a whole one, `sections` when they are
        several whole ones, else `bars`."""
        first, last = self.graph.bars[min(bars)], self.graph.bars[max(bars)]
        if _are(bars, self._sections[first.section_index]):
            return "section"
        if first.section_index != last.section_index:
            return "sections" if self._are_sections(bars) else "bars"
        main = self._main_lines[first.section_index, first.line]
        whole = _are(bars, main) or _are(bars, self.line_of(first.index))
        return "line" if len(bars) > 1 and whole else "bars"

    def _are_sections(self, bars: Collection[int]) -> bool:
        """Whether the bars are several whole sections."""
        these = self._sections[self.graph.bars[min(bars)].section_index]
        if min(bars) != min(these) or len(bars) <= len(these):
            return False  # most are told apart by so much
        sections = {self.graph.bars[bar].section_index for bar in bars}
        every = [bar for section in sections for bar in self._sections[section]]
        return len(every) == len(bars) and _are(bars, frozenset(every))

    def by_section(self, bars: Sequence[int]) -> list[tuple[int, ...]]:
        """The bars cut where a new section begins."""
        return [tuple(group) for _, group in groupby(bars, key=self._section)]

    def run(self, order: Sequence[int], first: int, last: int) -> Run:
        """Where bars that were lost, or came too often, may be: `order[first:last]`, moved either
        way as long as the song still sounds the same. No farther than `FARTHEST`, beyond which
        nobody hears it."""
        count, sounds = last - first, self._sounds
        low, high = first, last
        lowest, highest = max(first - FARTHEST, 0), min(last + FARTHEST, len(order))
        while low > lowest and sounds[order[low - 1]] == sounds[order[low - 1 + count]]:
            low -= 1
        while high < highest and sounds[order[high]] == sounds[order[high - count]]:
            high += 1
        every = tuple(order[low:high])
        windows = [every[at : at + count] for at in self._in_order(every, count)]
        best = max(
            windows,
            key=lambda window: (
                len(window) > 1 and self.unit(window) != "bars",
                self._tails(window),
                window,
            ),
            default=tuple(order[first:last]),
        )
        return Run(best, every)

    def tail(self, bars: Iterable[int]) -> bool:
        """Whether all of the bars belong to a section's last counted line."""
        return all(self.graph.bars[bar].tail for bar in bars)

    def _tails(self, bars: Sequence[int]) -> bool:
        one = len({self._section(bar) for bar in bars}) == 1
        return one and self.tail(bars)

    def _in_order(self, bars: Sequence[int], count: int) -> list[int]:
        """Where so many bars follow each other as in the song."""
        found, since = [], 0
        for at in range(len(bars)):
            if at and self._rank[bars[at]] <= self._rank[bars[at - 1]]:
                since = at
            if at - since + 1 >= count:
                found.append(at - count + 1)
        return found

    def _section(self, bar: int) -> int:
        return self.graph.bars[bar].section_index


def _gathered(pairs: Iterable[tuple[Key, int]]) -> dict[Key, tuple[int, ...]]:
    found: dict[Key, list[int]] = {}
    for key, bar in pairs:
        found.setdefault(key, []).append(bar)
    return {key: tuple(bars) for key, bars in found.items()}


def _are(bars: Collection[int], these: Collection[int]) -> bool:
    """Whether they are the same, in whatever order."""
    return len(bars) == len(these) and frozenset(bars) == frozenset(these)


def _sound(bar: Bar) -> tuple[object, ...]:
    """What is heard of a bar: chords, basses, the pattern's strikes, meter."""
    spans = tuple((span.beat, span.sound) for span in bar.spans)
    return (bar.meter, spans, bar.strikes)


def _ranks(graph: BarGraph) -> dict[int, int]:
    ranks = {bar: place for place, bar in enumerate(graph.written)}
    lines: dict[tuple[int, int, int], list[int]] = {}
    for bar in graph.bars:
        if bar.index in ranks:
            lines.setdefault(bar.line_played, []).append(ranks[bar.index])
    for bar in graph.bars:
        if bar.index not in ranks:
            over = lines[bar.line_played]
            ranks[bar.index] = over[min(bar.place, len(over) - 1)]
    return ranks
