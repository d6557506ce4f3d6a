"""What did the chart want, strike by strike, over the bars that were in fact played?

The played bars laid end to end on an axis of written seconds: seconds at the chart's own
tempo, so that a tempo or a meter that changes by the chart is no change of pace here.
Beside each expected strike stands the rough time at which the follower's bar lines put
it; `evaluator.judge.pace` makes that exact.

Units: seconds of the take for times; written seconds for places on the axis.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import zip_longest

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand
from evaluator.follow.path import Path, PlayedBar
from evaluator.judge.verdict import Manner

HALT = 0.15
"""Seconds of standstill from which on the pace is taken up anew behind it."""
NEAR = 0.3
"""Beats; the place at which the follower has a strike is no more exact than this."""
CONFIDENT = 0.5
"""Below this a bar could not be followed, and nothing in it is judged."""


@dataclass(frozen=True, slots=True)
class Due:
    """One expected strike of one played bar."""

    played: int
    """Index into the path's bars."""
    strike: ExpectedStrike
    beat: float
    """Where in the bar it is wanted."""
    place: float
    """Written seconds from the first bar."""
    rough: float
    """Time by the follower's bar lines."""
    beat_seconds: float
    """Length of a beat as played there."""
    off_beat: bool
    """An off-beat that the chart's feel has swung."""


@dataclass(frozen=True, slots=True)
class LaidBar:
    """A played bar on the axis."""

    index: int
    """Which bar of the path, from 0."""
    bar: Bar
    played: PlayedBar
    place: float
    """Written seconds from the first bar to this one's beginning."""
    halt_place: float
    """Place of the halt in it, or just before it; the bar's own place if there is none."""
    stretch: int
    """Number of the stretch of playing, cut by restarts, from 0."""
    beats: float
    """Length of the whole bar."""
    span_beats: tuple[float, ...]
    """Where each span begins."""
    beat_seconds: float
    """Length of a beat as it was played."""
    cut_short: bool
    """Whether the next bar came before this one's beats were over, in the flow of playing."""
    until: float
    """Beat up to which it is judged: where the take ends or was broken off, the last strike."""
    manners: Mapping[Hand, Manner] = field(default_factory=dict)
    """How each hand plays, where it is not the pattern; `bar` has the strikes of it."""
    tune: bool = False
    """The right hand plays a tune above its chords."""

    @property
    def followed(self) -> bool:
        """Whether the follower was sure enough of the bar for it to be judged."""
        return self.played.confidence >= CONFIDENT

    def reaches(self, beat: Fraction | float) -> bool:
        """Whether the playing came as far as a beat."""
        return float(beat) <= self.until + 0.01

    @property
    def lost(self) -> tuple[ExpectedStrike, ...]:
        """Expected strikes that there was no time for, because the next bar came too soon."""
        if not self.cut_short:
            return ()
        over = self.played.beats_played - 0.01
        return tuple(strike for strike in self.bar.strikes if float(strike.beat) > over)

    def place_of(self, beat: float) -> float:
        """Written seconds from the first bar to a beat of this one."""
        return self.place + beat * self.bar.seconds_per_beat

    def rough_time(self, beat: float) -> float:
        """Time of a beat by the follower's bar lines and its halt."""
        played = self.played
        halted = played.halt_within >= HALT and beat >= played.pause_beat - 0.01
        return played.start + beat * self.beat_seconds + (played.pause if halted else 0.0)

    def beat_of(self, time: float) -> float:
        """Beat of a time by the follower's bar lines and its halt."""
        since = (time - self.played.start) / self.beat_seconds
        if self.played.halt_within >= HALT and since > self.played.pause_beat:
            since = max(self.played.pause_beat, since - self.played.pause / self.beat_seconds)
        return since

    @property
    def pace(self) -> float:
        """Seconds of the take for a written second."""
        return self.beat_seconds / self.bar.seconds_per_beat


def lay_out(graph: BarGraph, path: Path) -> tuple[LaidBar, ...]:
    """Every played bar on the axis, in the order of playing."""
    laid: list[LaidBar] = []
    known: dict[int, tuple[float, tuple[float, ...]]] = {}
    place, stretch = 0.0, 0
    entries = [played.entry for played in path.bars[1:]]
    for played, following in zip_longest(path.bars, entries):
        bar = graph.bars[played.bar]
        if played.entry == "restart" and laid:
            stretch += 1
        halt_place = place
        if played.pause >= HALT:
            halt_place += played.pause_beat * bar.seconds_per_beat
        if played.bar not in known:
            known[played.bar] = (float(bar.beats), tuple(float(span.beat) for span in bar.spans))
        beats, span_beats = known[played.bar]
        cut_short = following not in (None, "restart") and played.beats_played < beats - 0.01
        laid.append(
            LaidBar(
                index=len(laid),
                bar=bar,
                played=played,
                place=place,
                halt_place=halt_place,
                stretch=stretch,
                beats=beats,
                span_beats=span_beats,
                beat_seconds=moving_beat(played),
                cut_short=cut_short,
                until=_until(played, ends=following in (None, "restart")),
            )
        )
        place += min(played.beats_played, beats) * bar.seconds_per_beat
    return tuple(laid)


def _until(played: PlayedBar, *, ends: bool) -> float:
    """Nothing is wanted after the last strike of all: it may be held as long as one likes."""
    until = played.beats_played - 0.02
    if ends and played.strikes:
        return min(until, max(placed.beat for placed in played.strikes) + NEAR)
    return until


def dues(graph: BarGraph, laid: Sequence[LaidBar]) -> tuple[Due, ...]:
    """Every expected strike of the played bars, up to where a bar was broken off."""
    turn = graph.swing / (1 + graph.swing) if graph.swing != 1 else None
    known: dict[int, list[tuple[ExpectedStrike, float, bool]]] = {}
    found = []
    for index, bar in enumerate(laid):
        key = id(bar.bar)  # one bar may be laid out in several manners
        if key not in known:
            known[key] = [
                (
                    strike,
                    float(strike.beat),
                    turn is not None and _part(strike.beat, bar.bar) == turn,
                )
                for strike in bar.bar.strikes
            ]
        for strike, beat, off_beat in known[key]:
            if bar.reaches(beat):
                times = bar.place_of(beat), bar.rough_time(beat), bar.beat_seconds
                found.append(Due(index, strike, beat, *times, off_beat=off_beat))
    return tuple(found)


def _part(beat: Fraction, bar: Bar) -> Fraction:
    """Place within the quarter note, 0 to 1."""
    return (beat * 4 / bar.meter.unit) % 1


def moving_beat(played: PlayedBar) -> float:
    """Length of a beat in a played bar without its halt, seconds."""
    moving = played.end - played.start
    if HALT <= played.halt_within < moving:
        moving -= played.halt_within
    return max(moving, 0.05) / max(played.beats_played, 0.25)
