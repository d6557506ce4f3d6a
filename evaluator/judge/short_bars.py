"""Which bars lost a beat, because the player went on too soon?

Who rushes into the next line gives its last bar three beats of four. Such a bar is shorter than
those around it by whole beats, while these are as long as ever; one that is shorter otherwise
is a tempo that bends. It is said and costs nothing by itself: the strikes on the beats that were
lost are missed ones. Common practice, no source.
"""

from collections.abc import Sequence
from statistics import median
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.verdict import BarVerdict, ShortBar

AROUND: Final = 4
"""Bars on either side by which the length is known;"""
FEWEST: Final = 4
"""so many of them at least."""
EXACT: Final = 0.2
"""Beats by which what was lost may differ from whole ones,"""
STEADY: Final = 0.3
"""and by which the bars beside it may be too long or too short."""


def short_bars(graph: BarGraph, path: Path, verdicts: Sequence[BarVerdict]) -> tuple[ShortBar, ...]:
    """The bars after which the player went on a beat or more too soon, in the order of playing.

    `verdicts` belong to the bars of the path, one for each.
    """
    paces = [_pace(graph, path, verdicts, at) for at in range(len(verdicts))]
    found = []
    for at, verdict in enumerate(verdicts[:-1]):
        here = paces[at]
        beside = paces[max(at - AROUND, 0) : at] + paces[at + 1 : at + 1 + AROUND]
        known = [pace for pace in beside if pace is not None]
        if here is None or len(known) < FEWEST:
            continue
        usual, beats = median(known), float(graph.bars[verdict.bar].beats)
        lost = beats * (1.0 - here / usual)
        whole = round(lost)
        plain = 1 <= whole < beats and abs(lost - whole) <= EXACT
        if plain and all(
            pace is not None and beats * abs(1.0 - pace / usual) <= STEADY
            for pace in paces[max(at - 1, 0) : at] + paces[at + 1 : at + 2]
        ):
            found.append(ShortBar(verdict.bar, whole))
    return tuple(found)


def _pace(graph: BarGraph, path: Path, verdicts: Sequence[BarVerdict], at: int) -> float | None:
    """Played seconds per written one; None where a bar does not tell it."""
    verdict, played = verdicts[at], path.bars[at]
    following = path.bars[at + 1] if at + 1 < len(path.bars) else None
    goes_on = following is not None and following.entry in ("onward", "choice")
    if not verdict.judged or played.pause or not goes_on or (following and following.pause):
        return None
    return (verdict.end - verdict.start) / graph.bars[verdict.bar].seconds
