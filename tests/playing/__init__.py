"""Plays a chart as a person would, with known mistakes, for tests to judge.

    take = play(graph, faults=[WrongChord(bar=5, chord="Bm"), Missed(6, 2.0, "left")])
    take.notes, take.pedal, take.truth, to_midi(take)

By default every note stands exactly on its place at the chart's tempo; whatever makes a
take human is asked for by keyword (see `Manner`). The same arguments give the same take.
The player reads the chart's graph and nothing of the follower or the judges, so that a
mistake in those cannot hide in here. In a chart without patterns it strikes the bass
with each chord and the chord on every beat.

Units: seconds from the beginning of the take, MIDI key numbers and velocities, beats of
the bar from 0, bars of the take from 1.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from evaluator.chart.graph import BarGraph
from tests.playing.midi import to_midi
from tests.playing.mistakes import (
    Added,
    BarsExtra,
    BarsMissing,
    Choice,
    Early,
    Fault,
    Fill,
    Lacking,
    Late,
    Miscounted,
    Missed,
    Pause,
    Restart,
    Slip,
    TrueBar,
    TrueForm,
    Truth,
    WrongBass,
    WrongChord,
    WrongNote,
)
from tests.playing.performance import Manner, Note, PedalMove, Performance
from tests.playing.player import Player

__all__ = [
    "Added",
    "BarsExtra",
    "BarsMissing",
    "Choice",
    "Early",
    "Fault",
    "Fill",
    "Lacking",
    "Late",
    "Manner",
    "Miscounted",
    "Missed",
    "Note",
    "Pause",
    "PedalMove",
    "Performance",
    "Restart",
    "Slip",
    "TrueBar",
    "TrueForm",
    "Truth",
    "WrongBass",
    "WrongChord",
    "WrongNote",
    "play",
    "to_midi",
]


def play(
    graph: BarGraph,
    bars: Sequence[int] | None = None,
    *,
    faults: Iterable[Fault] = (),
    seed: int = 0,
    **manner: Any,
) -> Performance:
    """A take of the bars in this order, `graph.written` if none is given.

    `bars` are indices into `graph.bars`; `manner` are the fields of `Manner`, such as
    `tempo`, `jitter_ms` or `octaves`. Raises ValueError for a fault that has no place in
    the take, such as a missed strike that the pattern does not have.
    """
    order = tuple(graph.written if bars is None else bars)
    return Player(graph, order, tuple(faults), Manner(**manner), seed).take()
