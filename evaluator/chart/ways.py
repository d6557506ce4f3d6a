"""In what orders may the lines of a chart be played?

Every copy of every line is laid out one after another, and the ends that are still open
are joined to whatever comes next. What the player may choose leaves an end open longer:
a range from its lower count on, an optional section from the bar before it. Ways back
are joined last, so that the first way out of a bar is always the nominal one.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from evaluator.chart.model import Chart
from evaluator.errors import ChartError
from evaluator.errors.mistake import Mistake

MOST_WAYS = 1_500
"""From bar to bar. A song has little more than one a bar; hundreds of optional sections
in a row would have millions."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where one bar of the song stands in the chart."""

    section: int
    line: int
    copy: int
    way: int
    bar: int


@dataclass(frozen=True, slots=True)
class Ways:
    """Places in the order of the song, and the ways between them (indices of places)."""

    places: tuple[Place, ...]
    successors: tuple[tuple[int, ...], ...]
    starts: tuple[int, ...]
    finals: tuple[int, ...]


class _Layout:
    def __init__(self, chart: Chart) -> None:
        self._chart = chart
        self._places: list[Place] = []
        self._successors: list[list[int]] = []
        self._starts: list[int] = []
        self._ways = 0
        self._open: list[int] = []
        """Last bars whose next bar is still to be laid out, the nominal one first."""
        self._may_start = True
        """Nothing so far had to be played."""
        self._back: list[tuple[list[int], list[int]]] = []

    def lay_out(self) -> Ways:
        for place, section in enumerate(self._chart.sections):
            before, may_start = self._open, self._may_start
            for line in range(len(section.lines)):
                self._line(place, line)
            if section.optional:
                self._open = self._open + before
                self._may_start = may_start
        for ends, entries in self._back:
            self._join(ends, entries, section=-1)
        return Ways(
            tuple(self._places),
            tuple(tuple(dict.fromkeys(ways)) for ways in self._successors),
            tuple(self._starts),
            tuple(dict.fromkeys(self._open)),
        )

    def _line(self, section: int, line: int) -> None:
        count = self._chart.sections[section].count_of(line)
        early: list[int] = []
        entries: list[int] = []
        for copy in range(count.written):
            entries, ends = self._copy(section, line, copy)
            self._join(self._open, entries, section=section)
            if self._may_start:
                self._starts += entries
            self._open, self._may_start = ends, False
            if count.low <= copy + 1 < count.written:
                early += ends
        if count.high is None:
            self._back.append((self._open, entries))
        self._open = self._open + early

    def _copy(self, section: int, line: int, copy: int) -> tuple[list[int], list[int]]:
        """Lay out one copy of a line with its `or` lines: their first and last bars."""
        entries: list[int] = []
        ends: list[int] = []
        for way, written in enumerate(self._chart.sections[section].lines[line].ways):
            first = len(self._places)
            last = first + len(written.bars) - 1
            for bar in range(len(written.bars)):
                self._places.append(Place(section, line, copy, way, bar))
                self._successors.append([first + bar + 1] if first + bar < last else [])
            entries.append(first)
            ends.append(last)
        return entries, ends

    def _join(self, ends: Iterable[int], entries: list[int], *, section: int) -> None:
        for end in ends:
            self._successors[end] += entries
            self._ways += len(entries)
            if self._ways > MOST_WAYS:
                raise self._too_free(section)

    def _too_free(self, section: int) -> ChartError:
        line = self._chart.sections[section].line
        message = f"here the song has more than {MOST_WAYS} ways from bar to bar"
        hint = "make fewer sections optional, or give fewer lines an `or`"
        return ChartError((Mistake(self._chart.file, line, 1, "", message, hint),))


def lay_out(chart: Chart) -> Ways:
    """Every bar of the song written out in full, and the bars that may follow each.

    Raises:
        ChartError: for a form with more than `MOST_WAYS` ways.
    """
    return _Layout(chart).lay_out()
