"""The path that a perfect follower would find: what the player truly played.

With it the judges are tested apart from the follower. `bar_line_ms` and `astray` make the
path as inexact as a real follower's: bar lines a little off, and some strikes one place
of the grid beside their own.
"""

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Entry, Path, PlacedStrike, PlayedBar
from evaluator.judge import Judgement, judge
from evaluator.take.model import Take, make_take
from evaluator.take.strike import Strike, strikes
from tests.playing import Performance, TrueBar, Truth

AHEAD = 0.15
"""Seconds by which a strike may come before its bar line and still be meant for the bar."""


def take_of(performance: Performance) -> Take:
    """The performance as the reader of files would give it, on one track."""
    notes = performance.notes
    downs = [move for move in performance.pedal if move.value >= 64]
    ups = [move.at for move in performance.pedal if move.value < 64]
    end = max((note.offset for note in notes), default=0.0)
    pedal = [(d.at, min((up for up in ups if up > d.at), default=end + 1)) for d in downs]
    return make_take(
        [note.onset for note in notes],
        [note.offset for note in notes],
        [note.pitch for note in notes],
        [note.velocity for note in notes],
        pedal=pedal,
    )


def truth_path(
    graph: BarGraph,
    performance: Performance,
    struck: tuple[Strike, ...],
    *,
    bar_line_ms: float = 0.0,
    astray: float = 0.0,
    seed: int = 0,
) -> Path:
    """The path of a performance; `struck` are the strikes of its take.

    What is struck before the first bar and after the last one is in none of them.
    """
    rng = np.random.default_rng(seed)
    truth = performance.truth
    shifts = rng.normal(0.0, bar_line_ms / 1000, len(truth.bars) + 1)
    edges = [bar.start for bar in truth.bars]
    placed: list[list[PlacedStrike]] = [[] for _ in edges]
    for index, strike in enumerate(struck):
        if not edges[0] - AHEAD <= strike.time < truth.bars[-1].end:
            continue  # noodling
        place = max(0, int(np.searchsorted(edges, strike.time + AHEAD, side="right")) - 1)
        beat = _beat(truth.bars[place], strike.time)
        if rng.random() < astray:
            beat += rng.choice([-0.25, 0.25])
        placed[place].append(PlacedStrike(index, max(0.0, round(4 * beat) / 4)))
    bars = []
    for place, bar in enumerate(truth.bars):
        halt, halt_beat = _halt(truth, bar)
        joined = place + 1 < len(edges) and abs(edges[place + 1] - bar.end) < 1e-6
        bars.append(
            PlayedBar(
                bar=bar.index,
                entry=_entry(graph, truth.bars, place),
                start=bar.start + shifts[place],
                end=bar.end + (shifts[place + 1] if joined else 0.0),
                beats_played=bar.beats_played,
                strikes=tuple(placed[place]),
                ornaments=(),
                pause=halt,
                pause_beat=halt_beat,
                confidence=1.0,
            )
        )
    return Path(tuple(bars), truth.transposed, truth.complete, 1.0, (), ())


def _halt(truth: Truth, bar: TrueBar) -> tuple[float, float]:
    """Seconds of a bar's halt, and the beat before which it was made: 0 lies before `start`."""
    for item in truth.form:
        if item.kind == "break" and bar.start - item.halt - 1e-6 <= item.at < bar.end - 1e-6:
            if item.at < bar.start - 1e-6:
                return item.halt, 0.0
            moving = (bar.end - bar.start - item.halt) / bar.beats_played
            return item.halt, (item.at - bar.start) / moving
    return 0.0, 0.0


def _beat(bar: TrueBar, time: float) -> float:
    return (time - bar.start) / (bar.end - bar.start) * bar.beats_played


def _entry(graph: BarGraph, bars: tuple[TrueBar, ...], place: int) -> Entry:
    if place == 0:
        return "start"
    before, here = bars[place - 1], bars[place].index
    if before.beats_played < float(graph.bars[before.index].beats) - 1e-6:
        return "restart"
    following = graph.successors[before.index]
    if here not in following:
        return "jump"
    return "onward" if here == following[0] else "choice"


def judged(
    graph: BarGraph,
    performance: Performance,
    *,
    bar_line_ms: float = 0.0,
    astray: float = 0.0,
    seed: int = 0,
) -> Judgement:
    """The verdict on a performance along its true path, or one as inexact as asked for."""
    take = take_of(performance)
    struck = strikes(take)
    path = truth_path(graph, performance, struck, bar_line_ms=bar_line_ms, astray=astray, seed=seed)
    return judge(graph, take, struck, path)
