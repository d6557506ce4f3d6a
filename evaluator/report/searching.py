"""Does a hand search for its chord at each change, or not play at all?

A beginner who knows the chords and not yet the way from one to the next comes late wherever
the chord changes, and is in time where it does not. That is one thing to work on, not as many
as there are strikes. A hand searches where a good part of its strikes on a new chord are
plainly late and the others are not. A student who has learnt a verse with one hand lets the other
rest in it: one thing to learn, and not as many as there are chords. Common practice of teaching,
no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import HANDS, BarGraph, Hand
from evaluator.judge.rhythm import MOST_TOLERANCE
from evaluator.judge.verdict import BarVerdict, Judgement, StrikeVerdict
from evaluator.report.faults import Trouble, is_silent

LEAST: Final = 5
"""So many changes must have been late,"""
SHARE: Final = 0.2
"""and so large a part of them;"""
OTHERS: Final = 0.5
"""of the other strikes at most this part of that share."""


@dataclass(frozen=True, slots=True)
class Searching:
    """Hands that come late where the chord changes."""

    hands: tuple[Hand, ...]
    bars: tuple[int, ...]
    """Indices of the bars in which they do, into `BarGraph.bars`."""
    longest_ms: float


def searching(graph: BarGraph, judgement: Judgement) -> Searching | None:
    """The hands that search, or None."""
    late: list[tuple[int, StrikeVerdict]] = []
    hands: list[Hand] = []
    for hand in HANDS:
        strikes = list(_strikes(graph, judgement, hand))
        changes = [(bar, one) for bar, one, changes in strikes if changes]
        others = [one for _, one, changes in strikes if not changes]
        found = [(bar, one) for bar, one in changes if one.late_ms > _LATE]
        share = len(found) / max(len(changes), 1)
        beside = sum(abs(one.late_ms) > _LATE for one in others) / max(len(others), 1)
        if len(found) >= LEAST and share >= SHARE and beside <= OTHERS * share:
            hands.append(hand)
            late += found
    if not hands:
        return None
    return Searching(
        tuple(hands),
        tuple(sorted({bar for bar, _ in late})),
        max(one.late_ms for _, one in late),
    )


_LATE: Final = 1000 * MOST_TOLERANCE
"""Milliseconds from which a strike is late for every ear."""


def _strikes(
    graph: BarGraph, judgement: Judgement, hand: Hand
) -> Iterator[tuple[int, StrikeVerdict, bool]]:
    """Each strike of a hand that answers something, and whether it is its first on a chord."""
    sounding: object = None
    for verdict in judgement.bars:
        bar = graph.bars[verdict.bar]
        if not verdict.judged:
            continue
        for strike in _answers(verdict, hand):
            chord = bar.span_at(strike.beat).sound
            yield bar.index, strike, chord != sounding
            sounding = chord


def _answers(verdict: BarVerdict, hand: Hand) -> list[StrikeVerdict]:
    return [
        one
        for one in verdict.rhythm.strikes
        if one.hand == hand and one.how not in ("missed", "added")
    ]


FEWEST: Final = 2
"""So many bars are a rest; one is a bar that was not played."""
PARTS: Final[dict[Hand, str]] = {"left": "bass", "right": "chord"}
"""What is not there where a hand is silent."""


@dataclass(frozen=True, slots=True)
class Silent:
    """Bars in which a hand does not play at all."""

    hand: Hand
    bars: frozenset[int]
    """Indices into `BarGraph.bars`."""

    def explains(self, trouble: Trouble) -> bool:
        """Whether a trouble is there because the hand is silent."""
        of_hand = dict(trouble.words).get("hand") == self.hand
        missing = trouble.case.startswith(PARTS[self.hand]) or (
            of_hand and trouble.case == "missed"
        )
        return missing and trouble.bar.index in self.bars


def silent_hands(judgement: Judgement) -> tuple[Silent, ...]:
    """The hands that rest, each with the bars in which they do."""
    found = []
    for hand in HANDS:
        bars = frozenset(one.bar for one in judgement.bars if one.judged and is_silent(one, hand))
        if len(bars) >= FEWEST:
            found.append(Silent(hand, bars))
    return tuple(found)
