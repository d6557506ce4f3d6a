"""Where is the player, and how was the bar that has just gone by?

The same follower and the same judges as for a file, one strike at a time. The place is
read off the cheapest hypothesis after every strike and carried on by its beat until the
next one. Once a bar the way so far is traced back and its last bars are judged anew, so
that a mark can stand as soon as its bar is over and is put right while the evidence is young.
Bars further back keep their marks unless the way to them has changed.

Units: seconds of the take, beats of a bar from 0.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from math import inf

from evaluator.chart.graph import BarGraph
from evaluator.follow import follow
from evaluator.follow.compiled import follower
from evaluator.follow.costs import TEMPI
from evaluator.follow.grid import lay_out
from evaluator.follow.hearing import lies_above
from evaluator.follow.keys import GOOD_FIT
from evaluator.follow.outside import song_alone
from evaluator.follow.path import Path, PlayedBar
from evaluator.follow.positions import Floats
from evaluator.judge.form import judge_form
from evaluator.judge.gaps import excused_form, unheard
from evaluator.judge.verdict import Judgement, Tempo
from evaluator.live.backtrack import Tidying, way
from evaluator.live.lately import TakeSince, judge_lately
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike, StrikeGrouper
from evaluator.theory.naming import name_chord

WINDOW = 16
"""Bars that are judged anew: about four lines, beyond which nothing changes any more."""
HEARD_ANEW = (24, 48, 96, 192)
"""Strikes after which everything so far is followed as a file would be: in another key (the piano's
transpose button), or without the patterns. Again and again, because the first notes may have been
noodling."""
NOTHING = Path((), 0, False, 0.0, (), ())


@dataclass(frozen=True, slots=True)
class Place:
    """Where the player is now."""

    bar: int
    """Index into `BarGraph.bars`."""
    beat: float
    bpm: float
    """Beats of the bar's own meter per minute."""


def name_struck(struck: Collection[int], graph: BarGraph, place: Place | None) -> str:
    """What was struck last, MIDI keys, by the name that is nearest to the chart's where the player
    is; empty if nothing was."""
    if not struck:
        return ""
    bar = graph.bars[graph.written[0] if place is None else place.bar]
    expected = None if place is None else bar.span_at(place.beat).chord
    flats = bar.key is not None and bar.key.flats
    classes = frozenset(pitch % 12 for pitch in struck)
    return name_chord(classes, min(struck) % 12, flats=flats, near=expected) or ""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the last strike was, and how it goes on from there."""

    bar: int
    """Index into `BarGraph.bars`."""
    into: float
    """Written seconds from the bar line."""
    at: float
    """When the beat was there, smoothed."""
    ratio: float
    """Played seconds per written second."""
    last: float
    """When the strike was."""


@dataclass(frozen=True, slots=True)
class Judged:
    """The way so far and what is known of it."""

    path: Path
    judgement: Judgement
    """Its bars are those of the path that are over; the last one may still be going on.
    Its marks and tempo are those of the last bars alone."""
    time: float = 0.0


class Following:
    """Follows one take through one song as it is played."""

    def __init__(self, graph: BarGraph, *, notes: int = 0, tempi: Floats = TEMPI) -> None:
        """`notes`: how many of the take went by unfollowed. `tempi`: ratios of played to written
        length of a beat at which it may begin."""
        self.graph = graph
        self.judged = Judged(NOTHING, Judgement((), (), Tempo(graph.bpm, 0.0, 0.0), False))
        self.strikes: list[Strike] = []
        """Every strike that is over."""
        self._grid = lay_out(graph)
        self._follower = follower(self._grid, tempi=tempi)
        self._tempi = tempi
        self._transposed, self._above = 0, 0
        """Semitones above the chart, of the key and with whole octaves."""
        self._gaps: Sequence[Gap] = ()
        self._tidying = Tidying()
        self._grouper = StrikeGrouper()
        self._together: list[tuple[float, int, int]] = []
        """Notes of one instant, whose order is that of their pitches."""
        self._count = notes
        self._judged_in = -1
        self._judged_strikes = 0

    def push(self, onset: float, pitch: int, velocity: int) -> None:
        """Take in a note; onsets never go back."""
        if self._together and onset > self._together[0][0]:
            self._group()
        self._together.append((onset, pitch, velocity))

    def step(self, now: float, gaps: Sequence[Gap] = ()) -> None:
        """Take in the strikes that are over by `now`, seconds of the take; `gaps`: when nothing
        could be heard so far."""
        self._gaps = gaps
        if self._together and now > self._together[0][0]:
            self._group()
        self._struck(self._grouper.due(now))

    def _group(self) -> None:
        for onset, pitch, velocity in sorted(self._together, key=lambda note: note[:2]):
            self._struck(self._grouper.push(self._count, onset, pitch, velocity))
            self._count += 1
        self._together.clear()

    def _struck(self, strike: Strike | None) -> None:
        if strike is None:
            return
        self.strikes.append(strike)
        self._follower.push(strike, self._gaps)
        self._tidying.tidy(self._follower)
        if len(self.strikes) in HEARD_ANEW:
            self._hear_anew()

    def _hear_anew(self) -> None:
        """Follow anew from the beginning if the take turns out to be in another key or octave, or
        in another rhythm than the chart's."""
        path = follow(self.graph, self.strikes, self._gaps)
        above = lies_above(self.strikes, self._grid, path.transposed)
        if (above, path.rhythm) == (self._above, self._grid.rhythm):
            return
        self._transposed, self._above = path.transposed, above
        self._grid = lay_out(self.graph, path.rhythm)
        self._follower = follower(self._grid, transposed=above, tempi=self._tempi)
        for strike in self.strikes:
            self._follower.push(strike, self._gaps)

    @property
    def believed(self) -> bool:
        """Whether the way so far is one that marks can be given on: not while next to nothing fits,
        as in what is played before the song. After `HEARD_ANEW` strikes it is the best there is."""
        return self.judged.path.fit >= GOOD_FIT or len(self.strikes) > HEARD_ANEW[0]

    def place(self, now: float) -> Place | None:
        """Where the player is, if he goes on as before; at most one bar past the last strike."""
        if not self.strikes or not len(self._follower.steps[-1].cost):
            return None
        cells, grid = self._follower.steps[-1], self._grid
        struck = int(grid.bar[cells.position[0]])
        ratio = float(cells.ratio[0])
        x = float(grid.x[cells.position[0]]) + (now - float(cells.beat_time[0])) / ratio
        bar = struck
        if x >= grid.bar_x[struck] + grid.bar_length[struck]:
            over = x - float(grid.bar_x[struck] + grid.bar_length[struck])
            following = grid.following(struck)
            bar = following[0] if following else struck
            x = float(grid.bar_x[bar]) + over if following else x
        of = grid.chart_bar(bar)
        beat = (x - float(grid.bar_x[bar])) / of.seconds_per_beat
        last = float(of.beats) - 0.01
        return Place(of.index, min(max(beat, 0.0), last), 60.0 / (of.seconds_per_beat * ratio))

    def standing(self) -> Standing | None:
        """Where the last strike was, by the likeliest hypothesis."""
        if not self.strikes or not len(self._follower.steps[-1].cost):
            return None
        cells, grid = self._follower.steps[-1], self._grid
        position = int(cells.position[0])
        laid = int(grid.bar[position])
        return Standing(
            bar=int(grid.of[laid]),
            into=float(grid.x[position] - grid.bar_x[laid]),
            at=float(cells.beat_time[0]),
            ratio=float(cells.ratio[0]),
            last=self.strikes[-1].time,
        )

    def due_to_judge(self, now: float) -> bool:
        """Whether a bar has gone by since the last judging."""
        if len(self.strikes) == self._judged_strikes:
            return False
        bar = int(self._grid.bar[self._follower.steps[-1].position[0]])
        length = 2.0 * self._grid.chart_bar(bar).seconds
        return bar != self._judged_in or now - self.judged.time > length

    def judge(
        self,
        take_since: TakeSince,
        now: float,
        gaps: Sequence[Gap] = (),
        *,
        over: bool = False,
    ) -> None:
        """Judge the last bars; the take holds the notes up to now, but for the gaps.

        `over`: it seems that nothing more will come.
        """
        if not self.strikes or not len(self._follower.steps[-1].cost):
            return
        self._judged_in = int(self._grid.bar[self._follower.steps[-1].position[0]])
        self._judged_strikes = len(self.strikes)
        known = self.judged.path
        path = unheard(way(self._follower, self._transposed, known, WINDOW, over=over), gaps)
        path = song_alone(path, self.strikes)
        kept = self._kept(path)
        lately = judge_lately(self.graph, self.strikes, path, kept, take_since)
        every = (*self.judged.judgement.bars[:kept], *lately.bars)
        # While it is being played, a last line is not short of what may yet come.
        form = excused_form(judge_form(self.graph, path, last_end=inf), path, gaps)
        judged = replace(lately, bars=every[: _over(path.bars, now)], form=form)
        self.judged = Judged(path, judged, now)

    def _kept(self, path: Path) -> int:
        """How many bars at the beginning of the way keep their verdicts."""
        kept = max(0, min(len(path.bars) - WINDOW, len(self.judged.judgement.bars)))
        before = [bar.bar for bar in self.judged.path.bars[:kept]]
        return kept if before == [bar.bar for bar in path.bars[:kept]] else 0


def _over(bars: Sequence[PlayedBar], now: float) -> int:
    """How many bars of a way are over: all but the last, and that one if its time is up."""
    if not bars:
        return 0
    return len(bars) if bars[-1].end < now else len(bars) - 1
