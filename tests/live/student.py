"""A student who practises with the program: hears it, plays, and gets better, or does not.

Waits for something to be heard; when nothing comes, strikes a key. Counts the clicks of a
count-in, takes the tempo from them and plays the passage round and round, each time as the plan
has it. A click that comes after silence is a new count-in: the student stops and counts.

Knows no clock: is told what time it is, and what sounds when. Seconds.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph, Hand
from tests.playing import Fault, play

PERCUSSION = 0x99
ANY_KEY = 84
UNFINISHED = 0.2
"""Seconds that a time through may lack and still be one."""
SEES = 2.0
"""The same, as long as nothing at all was heard."""
WAITS = 5.5
"""Seconds of silence after which a key is struck."""


@dataclass(frozen=True)
class Time:
    """How the passage is to be played once."""

    faults: tuple[Fault, ...] = ()
    bars: tuple[int, ...] | None = None
    """Indices of other bars that are played in its place."""
    stops_after: float = 1.0
    """Part of it after which the student stops and waits to be counted in again."""
    pause: float = 0.0
    """Beats of rest after it."""


GOOD = Time()


@dataclass
class Truth:
    """One time through as the student meant it."""

    ratio: float
    """Played seconds a written one."""
    begins: list[float]
    """Seconds at which each bar line was, and the last one's end."""
    written: list[float]
    """Written seconds of them, from the passage's beginning."""


@dataclass
class Student:
    """One simulated student."""

    chart: str
    bars: tuple[int, ...]
    """Indices of the passage."""
    plan: Iterable[Time]
    hand: Hand | None = None
    click_goes_on: bool = True
    manner: dict[str, float] = field(default_factory=dict)
    seed: int = 1

    def __post_init__(self) -> None:
        self.graph: BarGraph = read_chart(self.chart)
        self.heard: list[tuple[float, bytes]] = []
        self.truths: list[Truth] = []
        self.sent: list[tuple[float, bytes]] = []
        self._plan = iter(self.plan)
        self._queue: deque[tuple[float, bytes]] = deque()
        self._clicks: list[float] = []
        self._counting = True
        self._stuck = False
        """Heeds no click until a new count-in."""
        self._next: float | None = None
        """When the next time through begins."""
        self._ratio = 1.0
        self._quiet_since: float | None = None
        self._last_click = -1e9
        first = self.graph.bars[self.bars[0]]
        self._beats = first.meter.beats * -(-3 // first.meter.beats)
        self._spb = first.seconds_per_beat

    def hear(self, at: float, raw: bytes) -> None:
        """The piano sounds."""
        self.heard.append((at, raw))
        if raw[0] != PERCUSSION or raw[2] == 0:
            return
        silent = at - self._last_click
        self._last_click = at
        beat = self._spb * self._ratio
        if self._stuck and silent < 1.5 * beat:
            return
        self._stuck = False
        if not self._counting and (not self.click_goes_on or silent > 1.5 * beat):
            self._stop(at)
        if self._counting:
            if self._clicks and at - self._clicks[-1] > 3.5:
                self._clicks.clear()
            self._clicks.append(at)
            if len(self._clicks) == self._beats:
                beat = (self._clicks[-1] - self._clicks[0]) / (self._beats - 1)
                self._ratio = beat / self._spb
                self._next = self._clicks[-1] + beat
                self._clicks.clear()
                self._counting = False

    def _stop(self, at: float) -> None:
        self._counting, self._next = True, None
        self._clicks.clear()
        # Keys that are down come up; nothing more is struck.
        self._queue = deque(row for row in self._queue if row[1][0] >> 4 == 8)
        self._quiet_since = at
        if self.truths and self.truths[-1].begins[-1] > at + UNFINISHED:
            self.truths.pop()

    def due(self, now: float) -> list[tuple[float, bytes]]:
        """What is played up to now, each with its time."""
        if self._quiet_since is None:
            self._quiet_since = now - SEES + 0.5
        beat = self._spb * self._ratio
        if self.click_goes_on and not self._counting and now - self._last_click > 2 * beat:
            self._stop(now)
        if self._next is not None and now >= self._next - 0.3:
            self._play_once()
        elif self._waits() and now - max(self._quiet_since, self._last_click) > (
            WAITS if self.heard else SEES
        ):
            self._quiet_since = now
            self._queue.append((now, bytes((0x90, ANY_KEY, 40))))
            self._queue.append((now + 0.1, bytes((0x80, ANY_KEY, 0))))
        found = []
        while self._queue and self._queue[0][0] <= now:
            found.append(self._queue.popleft())
            self._quiet_since = found[-1][0]
        self.sent += found
        return found

    def _waits(self) -> bool:
        """Whether nothing is being played or counted."""
        return self._counting and not self._clicks and not self._queue

    def _play_once(self) -> None:
        assert self._next is not None
        begin, self._next = self._next, None
        time = next(self._plan, None)
        if time is None:
            self._counting = True
            self._quiet_since = 1e9
            return
        self.seed += 1
        bars = self.bars if time.bars is None else time.bars
        manner = {"tempo": 1.0 / self._ratio} | self.manner
        take = play(
            self.graph, list(bars), faults=time.faults, seed=self.seed, start=begin, **manner
        )
        end = take.truth.bars[-1].end
        until = begin + time.stops_after * (end - begin)
        rows = []
        for note in take.notes:
            if note.onset < until and self.hand in (None, note.hand):
                rows += [(note.onset, bytes((0x90, note.pitch, note.velocity)))]
                rows += [(min(note.offset, until), bytes((0x80, note.pitch, 64)))]
        # What is let go from the time before comes first.
        self._queue = deque(sorted([*self._queue, *rows], key=lambda row: (row[0], row[1][0])))
        if time.bars is None and time.stops_after == 1.0:
            self._remember(take.truth.bars, end)
        if time.stops_after < 1.0:
            self._counting = self._stuck = True
            self._quiet_since = until
        else:
            self._next = end + time.pause * self._spb * self._ratio

    def _remember(self, bars: Sequence[object], end: float) -> None:
        written = [0.0]
        for index in self.bars:
            written.append(written[-1] + self.graph.bars[index].seconds)
        begins = [*(bar.start for bar in bars), end]  # type: ignore[attr-defined]
        self.truths.append(Truth(self._ratio, begins, written))


def beats_of(truths: Sequence[Truth], beat: float) -> Iterator[tuple[int, float, float]]:
    """Each beat of each time through: its number, its place and its moment."""
    import numpy as np

    for number, truth in enumerate(truths):
        for place in np.arange(0.0, truth.written[-1] - 1e-6, beat):
            yield number, float(place), float(np.interp(place, truth.written, truth.begins))
