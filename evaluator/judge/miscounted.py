"""Which bars lost a beat, as the player went on too soon, or have one too many?

Who rushes into the next line gives its last bar three beats of four, and who counts its last
chord for too long gives it five. Such a bar differs from those around it by whole beats, while
these are as long as ever; one that differs otherwise is a tempo that bends, or a hesitation. It
is said and costs nothing by itself: the strikes on the beats that were lost are missed ones, and
where a beat too many lasts as long as a halt, it is told as one. Common practice, no source.
"""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from statistics import median
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.verdict import BarVerdict, FormFinding, MiscountedBar

AROUND: Final = 4
"""Bars on either side by which the length is known;"""
FEWEST: Final = 4
"""so many of them at least."""
EXACT: Final = 0.2
"""Beats by which what was lost, or too many, may differ from whole ones,"""
STEADY: Final = 0.3
"""and by which the bars beside it may be too long or too short."""


def miscounted_bars(
    graph: BarGraph, path: Path, verdicts: Sequence[BarVerdict], form: Sequence[FormFinding]
) -> tuple[MiscountedBar, ...]:
    """The bars after which the player went on some beats too soon, or, at the end of a line, one
    too late, in the order of playing.

    `verdicts` belong to the bars of the path, one for each; `form` is what is said of the halts.
    """
    halts = {number for one in form if one.kind == "break" for number in one.bars}
    paces = [_pace(graph, path, verdicts, at) for at in range(len(verdicts))]
    found = []
    for at, verdict in enumerate(verdicts[:-1]):
        here = paces[at]
        beside = paces[max(at - AROUND, 0) : at] + paces[at + 1 : at + 1 + AROUND]
        known = [pace for pace in beside if pace is not None]
        if here is None or len(known) < FEWEST:
            continue
        usual, beats = median(known), float(graph.bars[verdict.bar].beats)
        waited = path.bars[at + 1].pause_before / graph.bars[verdict.bar].seconds
        more = beats * ((here + waited) / usual - 1.0)
        whole = round(more)
        counted = -beats < whole < 0 or (whole == 1 and _ends_line(graph, path, at, halts))
        if (
            counted
            and abs(more - whole) <= EXACT
            and all(
                pace is not None and beats * abs(1.0 - pace / usual) <= STEADY
                for pace in paces[max(at - 1, 0) : at] + paces[at + 1 : at + 2]
            )
        ):
            found.append(MiscountedBar(verdict.bar, whole))
    return tuple(found)


def _pace(graph: BarGraph, path: Path, verdicts: Sequence[BarVerdict], at: int) -> float | None:
    """Played seconds per written one; None where a bar does not tell it."""
    played = path.bars[at]
    following = path.bars[at + 1] if at + 1 < len(path.bars) else None
    goes_on = following is not None and following.entry in ("onward", "choice")
    if not verdicts[at].judged or played.halt_within or not goes_on:
        return None
    return (played.end - played.start) / graph.bars[played.bar].seconds


def _ends_line(graph: BarGraph, path: Path, at: int, halts: AbstractSet[int]) -> bool:
    """Whether the next bar begins a line, without a halt, where no notes are written out."""
    here, following = (graph.bars[bar.bar] for bar in path.bars[at : at + 2])
    plain = not here.exact and not following.exact
    return following.place == 0 and plain and following.number not in halts
