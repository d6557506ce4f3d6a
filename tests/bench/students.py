"""Simulates students at the piano: how they play, what they do wrong, and the truth of it.

    take = simulate(17, "ordinary")           # chart 17, invented, as some student plays it
    take.chart_text, take.midi_bytes, take.truth

The student knows the chart's graph and nothing of the follower or the judges. What was
done wrong is written down as it is done. The sizes of unevenness: trained players keep
about 10 ms about the beat, untrained ones several times that; a chord's notes part by
10 to 30 ms (Palmer 1996; Goebl 2001); the presets below span from better than the one
to worse than the other.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from tests.bench.dice import Dice
from tests.bench.invent import invent
from tests.bench.orders import (
    Plan,
    begin_late,
    break_off,
    choose,
    halt,
    leave_out,
    play_twice,
    stop_early,
)
from tests.bench.slips import BarRates, make_slips
from tests.playing import Manner, Note, Performance, Truth, play, to_midi
from tests.playing.strokes import scale_of

HandName = Literal["tidy", "ordinary", "rough"]


FASTEST = 0.1
"""Seconds between strikes that no student undercuts."""


@dataclass(frozen=True, slots=True)
class Hand:
    """How evenly and how freely a student plays. Ranges are drawn from once a take."""

    jitter_ms: float
    spread_ms: float
    wander_pct: float
    tempo: tuple[float, float]
    """Slowest and fastest against the chart's, alike likely by ratio."""
    swing_off: float
    """Largest part by which the swing ratio differs from the chart's."""
    uneven: float
    """Standard deviation of the velocity."""
    rolled: float
    octaves: float
    leaps: float
    thinned: float
    coloured: float
    fills: float
    """A line's end with a fill, as a probability."""


HANDS: Mapping[HandName, Hand] = {
    "tidy": Hand(
        jitter_ms=8,
        spread_ms=5,
        wander_pct=1,
        tempo=(0.85, 1.15),
        swing_off=0.05,
        uneven=5,
        rolled=0.03,
        octaves=0.2,
        leaps=0.1,
        thinned=0.1,
        coloured=0.5,
        fills=0.0,
    ),
    "ordinary": Hand(
        jitter_ms=18,
        spread_ms=12,
        wander_pct=2,
        tempo=(0.65, 1.25),
        swing_off=0.15,
        uneven=9,
        rolled=0.08,
        octaves=0.3,
        leaps=0.25,
        thinned=0.2,
        coloured=0.4,
        fills=0.1,
    ),
    "rough": Hand(
        jitter_ms=35,
        spread_ms=25,
        wander_pct=3,
        tempo=(0.5, 2.0),
        swing_off=0.3,
        uneven=14,
        rolled=0.12,
        octaves=0.3,
        leaps=0.4,
        thinned=0.3,
        coloured=0.4,
        fills=0.2,
    ),
}


@dataclass(frozen=True, slots=True)
class Faults:
    """How much goes wrong. Form: mistakes of a kind a take; bars: see `BarRates`."""

    bars: BarRates = field(default_factory=BarRates)
    bar_missing: float = 0.0
    bar_twice: float = 0.0
    line_missing: float = 0.0
    line_twice: float = 0.0
    section_missing: float = 0.0
    section_twice: float = 0.0
    tail_short: float = 0.0
    tail_long: float = 0.0
    restart_bar: float = 0.0
    restart_line: float = 0.0
    pause: float = 0.0
    """All of these: the mean number a take."""
    starts_late: float = 0.0
    stops_early: float = 0.0
    noodling: float = 0.0
    transposed: float = 0.0
    """All of these: the share of takes."""


NONE = Faults()
FEW = Faults(
    bars=BarRates(
        wrong_chord=0.01,
        wrong_quality=0.005,
        wrong_bass=0.01,
        plain_root=0.1,
        missed=0.02,
        added=0.01,
        early=0.01,
        late=0.01,
        slip=0.01,
    ),
    tail_short=0.3,
    tail_long=0.2,
    restart_bar=0.2,
    pause=0.4,
    noodling=0.2,
    transposed=0.05,
)
MANY = Faults(
    bars=BarRates(
        wrong_chord=0.03,
        wrong_quality=0.02,
        wrong_bass=0.03,
        plain_root=0.3,
        missed=0.05,
        added=0.03,
        early=0.03,
        late=0.04,
        slip=0.03,
    ),
    bar_missing=0.5,
    bar_twice=0.4,
    line_missing=0.3,
    line_twice=0.25,
    section_missing=0.15,
    section_twice=0.1,
    tail_short=0.5,
    tail_long=0.4,
    restart_bar=0.6,
    restart_line=0.5,
    pause=0.8,
    starts_late=0.08,
    stops_early=0.12,
    noodling=0.3,
    transposed=0.08,
)


@dataclass(frozen=True, slots=True)
class Simulated:
    """A chart, a take of it, and what is true of the take."""

    chart_text: str
    graph: BarGraph
    performance: Performance
    midi_bytes: bytes

    @property
    def truth(self) -> Truth:
        return self.performance.truth


def simulate(
    seed: int, hand: HandName, *, faults: Faults = FEW, chart_text: str | None = None
) -> Simulated:
    """A student's take of an invented chart, or of a given one; the same every time."""
    text = invent(seed) if chart_text is None else chart_text
    graph = read_chart(text, file=f"song-{seed}.txt")
    dice = Dice(seed, list(HANDS).index(hand), 1)
    manner = manner_of(dice, HANDS[hand], graph)
    plan = choose(graph, dice, share=0.3)
    spoil(plan, dice, faults)
    rates = replace(faults.bars, fill=HANDS[hand].fills)
    make_slips(plan, dice, rates, speed=manner.tempo)
    performance = play(graph, plan.order, faults=plan.faults, seed=seed, **_fields(manner))
    if dice.chance(faults.noodling):
        performance = with_noodling(performance, dice, graph)
    if dice.chance(faults.transposed):
        performance = performance.transposed(dice.pick((-5, -4, -3, -2, -1, 1, 2, 3, 4, 5)))
    tracks: Literal["one", "hands"] = "hands" if dice.chance(0.3) else "one"
    return Simulated(text, graph, performance, to_midi(performance, tracks=tracks))


def manner_of(dice: Dice, hand: Hand, graph: BarGraph, *, fastest: float = FASTEST) -> Manner:
    """How this hand plays this time; its strikes are `fastest` seconds apart or more."""
    low, high = hand.tempo
    high = max(low, min(high, _shortest_gap(graph) / fastest))
    swing = float(graph.swing)
    if swing != 1:
        swing = max(1.0, swing * dice.between(1 - hand.swing_off, 1 + hand.swing_off))
    return Manner(
        start=dice.between(0.3, 3.0),
        tempo=float(np.exp(dice.between(np.log(low), np.log(high)))),
        wander_pct=hand.wander_pct,
        jitter_ms=hand.jitter_ms,
        spread_ms=hand.spread_ms,
        swing=swing,
        rolled=hand.rolled if dice.chance(0.6) else 0.0,
        octaves=hand.octaves if dice.chance(0.5) else 0.0,
        doubled=0.2 if dice.chance(0.2) else 0.0,
        thinned=hand.thinned,
        coloured=hand.coloured,
        leaps=hand.leaps,
        left_velocity=dice.between(45, 78),
        right_velocity=dice.between(50, 80),
        uneven=hand.uneven,
        length=dice.between(0.55, 0.98),
        pedal=dice.pick(("none", "none", "changed", "changed", "kept")),
    )


def _shortest_gap(graph: BarGraph) -> float:
    """Seconds between the nearest two strikes of the chart at its own tempo."""
    return min(
        (
            bar.seconds_per_beat * float(after.beat - before.beat)
            for bar in graph.bars
            for before, after in pairwise(bar.strikes)
            if after.beat > before.beat
        ),
        default=min(bar.seconds for bar in graph.bars),
    )


def _fields(manner: Manner) -> dict[str, object]:
    return {name: getattr(manner, name) for name in Manner.__dataclass_fields__}


_OF_FORM: tuple[tuple[str, Callable[[Plan, Dice], object]], ...] = (
    # Largest first: a whole section needs most room, a halt hardly any.
    ("section_missing", lambda plan, dice: leave_out(plan, dice, "section")),
    ("section_twice", lambda plan, dice: play_twice(plan, dice, "section")),
    ("line_missing", lambda plan, dice: leave_out(plan, dice, "line")),
    ("line_twice", lambda plan, dice: play_twice(plan, dice, "line")),
    ("tail_short", lambda plan, dice: leave_out(plan, dice, "tail")),
    ("tail_long", lambda plan, dice: play_twice(plan, dice, "tail")),
    ("bar_missing", lambda plan, dice: leave_out(plan, dice, "bars")),
    ("bar_twice", lambda plan, dice: play_twice(plan, dice, "bars")),
    ("restart_line", lambda plan, dice: break_off(plan, dice, "line")),
    ("restart_bar", lambda plan, dice: break_off(plan, dice, "bar")),
    ("pause", lambda plan, dice: halt(plan, dice)),
)


_BREAKS = ("restart_line", "restart_bar", "pause")
"""What happens at a strike, so that it must be known which strikes are played."""


def spoil(plan: Plan, dice: Dice, faults: Faults, played: BarGraph | None = None) -> None:
    """Mistakes of form; where one finds no place it is not made.

    `played` is the plan's song with other strikes, if it is played with others: bars are
    left out and doubled by the ear of the plan's graph, which then becomes this one.
    """
    if dice.chance(faults.starts_late):
        begin_late(plan, dice)
    if dice.chance(faults.stops_early):
        stop_early(plan, dice)
    for name, make in _OF_FORM:
        if name in _BREAKS and played is not None:
            plan.graph = played
        for _ in range(int(dice.rng.poisson(getattr(faults, name)))):
            make(plan, dice)


def with_noodling(performance: Performance, dice: Dice, graph: BarGraph) -> Performance:
    """Some notes before the song begins, and perhaps after it has ended."""
    scale = scale_of(graph.bars[0].key)
    before = _noodle(dice, scale, 0.2)
    first = performance.truth.bars[0].start
    later = before[-1].offset + dice.between(0.8, 3.0) - first
    moved = performance.later(max(0.0, later))
    notes = (*before, *moved.notes)
    if dice.chance(0.5):
        end = max(note.offset for note in moved.notes)
        notes += tuple(_noodle(dice, scale, end + dice.between(0.8, 3.0)))
    return replace(moved, notes=notes)


def _noodle(dice: Dice, scale: tuple[int, ...], start: float) -> list[Note]:
    """Two to fifteen notes of the scale with no beat of their own."""
    notes: list[Note] = []
    at = start
    for _ in range(dice.count(2, 15)):
        low = 48 if dice.chance(0.3) else 60
        key = low + dice.pick(scale)
        length = dice.between(0.1, 0.5)
        notes.append(Note(at, at + 0.9 * length, key, dice.count(35, 80), side(key)))
        at += length
    return notes


def side(key: int) -> Literal["left", "right"]:
    """The hand that has a key in its half of the keyboard."""
    return "left" if key < 60 else "right"
