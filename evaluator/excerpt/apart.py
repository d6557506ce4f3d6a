"""Were the hands practised apart before they played together?

Many students play a line or a section with one hand, then with the other, then with both.
What one hand played alone is practice and not a mistake, so the marks are for what both hands
played afterwards. A take is cut into passes where it went back, and where it went on to new
bars after that; a pass is of one hand if the other is hardly heard in it and one hand could
have reached all of it, and it is set aside if its bars come again with both hands. Common
practice among teachers, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from evaluator.chart.graph import BarGraph, Hand
from evaluator.excerpt.one_hand import OTHER, may_be_one_hand, missed_by, side_of
from evaluator.follow.path import Path, PlayedBar
from evaluator.judge.verdict import BarVerdict, Judgement
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

SILENT: Final = 0.6
"""The other hand misses more than this share of its strikes in a pass of one hand,"""
PLAYS: Final = 0.3
"""and the hand itself less."""
AGAIN: Final = 0.8
"""Share of its bars that come again with both hands."""
LEAST_BARS: Final = 2


@dataclass(frozen=True, slots=True)
class OneHandPass:
    """Bars that one hand practised alone before both played them."""

    hand: Hand
    numbers: tuple[int, ...]
    """Numbers of the bars in the chart."""


@dataclass(frozen=True, slots=True)
class Together:
    """A take without the passes in which one hand practised alone."""

    path: Path
    gaps: tuple[Gap, ...]
    """Where passes were taken out: nothing there is held against the player."""
    apart: tuple[OneHandPass, ...]


def hands_apart(
    graph: BarGraph, strikes: Sequence[Strike], path: Path, judgement: Judgement
) -> Together | None:
    """The take without the passes in which one hand practised alone; None if there are none.

    `judgement.bars` belong to `path.bars`, one for each.
    """
    slices = list(_slices(path))
    if not graph.has_patterns or len(slices) < 2:
        return None
    hands = [_hand(graph, strikes, path, judgement.bars, one) for one in slices]
    both = [
        {path.bars[at].bar for at in one} if hand is None else set()
        for one, hand in zip(slices, hands, strict=True)
    ]
    aside: dict[int, OneHandPass] = {}
    for place, (one, hand) in enumerate(zip(slices, hands, strict=True)):
        bars = [path.bars[at].bar for at in one]
        later = set[int]().union(*both[place + 1 :])
        if hand is not None and len(later.intersection(bars)) >= AGAIN * len(set(bars)):
            numbers = tuple(graph.bars[bar].number for bar in bars)
            aside |= dict.fromkeys(one, OneHandPass(hand, numbers))
    if not aside:
        return None
    kept = [at for at in range(len(path.bars)) if at not in aside]
    bars_kept, gaps = _joined(path, kept)
    passes = tuple(aside[one[0]] for one in slices if one[0] in aside)
    return Together(replace(path, bars=bars_kept), gaps, passes)


def _slices(path: Path) -> Iterator[range]:
    """Places in the path of each pass: cut where it went back, and where it then went on."""
    seen: set[int] = set()
    first, repeats = 0, False
    for at, bar in enumerate(path.bars):
        new = bar.bar not in seen
        if at and (bar.entry == "restart" or (new and repeats)):
            yield range(first, at)
            first = at
        repeats = not new
        seen.add(bar.bar)
    if path.bars:
        yield range(first, len(path.bars))


def _hand(
    graph: BarGraph,
    strikes: Sequence[Strike],
    path: Path,
    verdicts: Sequence[BarVerdict],
    one: range,
) -> Hand | None:
    """The hand that played a pass alone; None for both."""
    placed = [placed for at in one for placed in path.bars[at].strikes]
    struck = [strikes[each.strike] for each in placed]
    if len(one) < LEAST_BARS or not may_be_one_hand(graph, struck):
        return None
    hand = side_of(struck)
    missed = missed_by(graph, [verdicts[at] for at in one])
    silent = missed[OTHER[hand]].share > SILENT and missed[hand].share < PLAYS
    return hand if silent else None


def _joined(path: Path, kept: Sequence[int]) -> tuple[tuple[PlayedBar, ...], tuple[Gap, ...]]:
    """The bars that are kept; where some are gone in between, the playing begins anew."""
    bars: list[PlayedBar] = []
    gaps: list[Gap] = []
    for before, at in zip([-1, *kept], kept, strict=False):
        bar = path.bars[at]
        if not bars and at:
            bar = replace(bar, entry="start", pause=0.0, pause_beat=0.0)
        elif at > before + 1:
            bar = replace(bar, entry="restart", pause=0.0, pause_beat=0.0)
            gaps.append(Gap(bars[-1].end, bar.start))
        bars.append(bar)
    return tuple(bars), tuple(gaps)
