"""When was each expected strike due, by the player's own time, and when did it come?

The judges' own question, asked again for the strikes of which a verdict keeps only the
faults. Where the two could differ the verdict has the last word: the picture shows what
was marked.

Units: beats of the bar from 0; milliseconds, negative for early.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evaluator.chart.graph import Hand
from evaluator.grading import Graded
from evaluator.judge.layout import Due
from evaluator.judge.struck import struck_bars
from evaluator.judge.timing import time_strikes
from evaluator.judge.verdict import BarVerdict, FaultKind, StrikeFault


@dataclass(frozen=True, slots=True)
class Came:
    """One strike, expected or added, and how it came."""

    beat: float
    hand: Hand
    how: FaultKind | Literal["in time"]
    late_ms: float = 0.0


def how_they_came(graded: Graded) -> tuple[tuple[Came, ...], ...]:
    """For each played bar its strikes by beat; none where it could not be followed."""
    graph, path = graded.song.graph, graded.path
    struck = struck_bars(graph, graded.take, graded.strikes, path, only=graded.song.hand)
    timing = time_strikes(graph, struck)
    of_bar: list[list[tuple[Due, float]]] = [[] for _ in struck.laid]
    for one, answer, own in zip(struck.due, timing.answers, timing.late, strict=True):
        pattern = one.strike.hand not in struck.laid[one.played].manners
        if answer is not None or pattern:
            of_bar[one.played].append((one, own))
    return tuple(
        _came(verdict, wanted)
        for verdict, wanted in zip(graded.judgement.bars, of_bar, strict=True)
    )


def _came(verdict: BarVerdict, wanted: Sequence[tuple[Due, float]]) -> tuple[Came, ...]:
    if not verdict.judged:
        return ()
    faults = {
        (round(fault.beat, 2), fault.hand): fault
        for fault in verdict.rhythm.faults
        if fault.kind != "added"
    }
    found = [
        _one(one, late, faults.get((round(one.beat, 2), one.strike.hand))) for one, late in wanted
    ]
    found += [
        Came(fault.beat, fault.hand, "added")
        for fault in verdict.rhythm.faults
        if fault.kind == "added"
    ]
    return tuple(sorted(found, key=lambda came: (came.beat, came.hand)))


def _one(due: Due, late: float, fault: StrikeFault | None) -> Came:
    if fault is None:
        return Came(due.beat, due.strike.hand, "in time", round(1000 * late, 1))
    return Came(due.beat, due.strike.hand, fault.kind, fault.ms)
