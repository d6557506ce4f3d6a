"""When was each expected strike due, by the player's own time, and when did it come?

The judges' own question, asked again for the strikes of which a verdict keeps only the
faults. Where the two could differ the verdict has the last word: the picture shows what
was marked.

Units: beats of the bar from 0; milliseconds, negative for early.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from evaluator.chart.graph import Hand
from evaluator.grading import Graded
from evaluator.judge.hands import HandStrike, Wanted, split_hands
from evaluator.judge.layout import Due, LaidBar, dues, lay_out
from evaluator.judge.timing import time_strikes
from evaluator.judge.verdict import BarVerdict, FaultKind, StrikeFault
from evaluator.judge.written_notes import Matched

SAME_BEAT: Final = 0.01
"""Beats closer than this are one place of the chart."""


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
    laid = lay_out(graph, path)
    due = dues(graph, laid)
    played, stretches = _hands(graded, laid)
    timing = time_strikes(graph, laid, due, Matched(played, {}, {}), stretches)
    of_bar: list[list[tuple[Due, float]]] = [[] for _ in laid]
    for one, own in zip(due, timing.late, strict=True):
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


def _hands(graded: Graded, laid: Sequence[LaidBar]) -> tuple[list[HandStrike], list[int]]:
    """The hands' strikes within the played bars, and the stretch of playing of each."""
    wanted: dict[int, Wanted | None] = {}
    stretch: dict[int, int] = {}
    has_patterns = graded.song.graph.has_patterns
    for bar in laid:
        for placed in bar.played.strikes:
            hands = frozenset(
                one.hand
                for one in bar.bar.strikes
                if abs(float(one.beat) - placed.beat) < SAME_BEAT
            )
            wanted[placed.strike] = hands if has_patterns else None
            stretch[placed.strike] = bar.stretch
        for ornament in bar.played.ornaments:
            wanted.setdefault(ornament, frozenset() if has_patterns else None)
            stretch.setdefault(ornament, bar.stretch)
    order = sorted(wanted)
    chosen = [graded.strikes[index] for index in order]
    played = split_hands(
        graded.take,
        chosen,
        [wanted[index] for index in order],
        transposed=graded.path.transposed,
    )
    return played, [stretch[order[hand.strike]] for hand in played]
