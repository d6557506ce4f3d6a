"""In what other rhythm than the pattern's was it played, and where?

Said once for all the bars in which the hands play alike, in the words of the lesson:
"Chorus 1 to 3: the right hand in eighths where the pattern has quarters, all chords right."
"""

from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph, Hand
from evaluator.judge.manner_places import rhythm_of
from evaluator.judge.verdict import BarVerdict, HandManner, Judgement
from evaluator.report.manner_words import (
    ALL_RIGHT,
    BOTH,
    HAND,
    INSTEAD,
    NAMES,
    PLAYS,
    SAYS,
    SIMPLIFIED,
    WHERE_IT_HAS,
)
from evaluator.report.model import ReportedManner
from evaluator.report.places import capital, how_far_in_words, listed

RIGHT: Final = ("right", "put right", "not judged")


def tell_manners(graph: BarGraph, judgement: Judgement) -> tuple[ReportedManner, ...]:
    """What is to be said of each manner, in the order of the song."""
    groups: dict[tuple[HandManner, ...], list[BarVerdict]] = {}
    for verdict in judgement.bars:
        if verdict.judged and verdict.rhythm.otherwise:
            groups.setdefault(verdict.rhythm.otherwise, []).append(verdict)
    told = [_tell(graph, hands, bars) for hands, bars in groups.items()]
    return tuple(sorted(told, key=lambda one: one.bars[0]))


def _tell(
    graph: BarGraph, hands: tuple[HandManner, ...], verdicts: Sequence[BarVerdict]
) -> ReportedManner:
    bars = list({verdict.bar: graph.bars[verdict.bar] for verdict in verdicts}.values())
    right = all(verdict.chord.word in RIGHT for verdict in verdicts)
    return ReportedManner(
        hands=hands,
        bars=tuple(sorted({bar.number for bar in bars})),
        say=SAYS.format(
            where=capital(how_far_in_words(graph, bars)),
            what=_what(graph, hands, bars),
            right=ALL_RIGHT if right else "",
        ),
    )


def _what(graph: BarGraph, hands: Sequence[HandManner], bars: Sequence[Bar]) -> str:
    manners = {one.manner for one in hands}
    if len(hands) == 2 and manners == {"once"}:
        return SIMPLIFIED
    if len(hands) == 2 and len(manners) == 1:
        return BOTH.format(plays=PLAYS[hands[0].manner])
    told = listed([HAND.format(hand=one.hand, plays=PLAYS[one.manner]) for one in hands])
    has = _pattern_has(graph, bars, hands[0].hand) if len(hands) == 1 else ""
    return WHERE_IT_HAS.format(hands=told, name=has) if has else INSTEAD.format(hands=told)


def _pattern_has(graph: BarGraph, bars: Sequence[Bar], hand: Hand) -> str:
    """`quarters`, where the pattern of that hand has one name in all the bars."""
    names = {rhythm_of(bar, hand, graph.swing) for bar in bars}
    (name,) = names if len(names) == 1 else (None,)
    return "" if name is None else NAMES[name]
