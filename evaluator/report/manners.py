"""In what other rhythm than the pattern's was it played, and where?

Said once for all the bars in which the hands play alike, in the words of the lesson:
"Chorus 1 to 3: the right hand in eighths where the pattern has quarters, all chords right."
"""

from collections.abc import Mapping, Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph, Hand
from evaluator.judge.manner_places import rhythm_of
from evaluator.judge.verdict import BarVerdict, HandManner, Judgement, Manner
from evaluator.report.model import ReportedManner
from evaluator.report.places import listed, where_in_words

NAMES: Final[Mapping[Manner, str]] = {
    "pattern": "the pattern",
    "once": "one strike a chord",
    "halves": "half notes",
    "dotted quarters": "dotted quarters",
    "quarters": "quarters",
    "eighths": "eighths",
    "after-beats": "after-beats",
    "off-beats": "strikes between the beats",
    "broken": "broken chords",
    "single": "single notes",
    "free": "a rhythm of its own",
}
"""What each manner is called."""
PLAYS: Final[Mapping[Manner, str]] = {
    "pattern": "with the pattern",
    "once": "with one strike a chord",
    "halves": "in half notes",
    "dotted quarters": "in dotted quarters",
    "quarters": "in quarters",
    "eighths": "in eighths",
    "after-beats": "on the after-beats",
    "off-beats": "between the beats",
    "broken": "in broken chords",
    "single": "in single notes",
    "free": "in a rhythm of its own",
}
"""How a hand plays, behind `the right hand`."""
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
    where = where_in_words(graph, bars)
    all_right = all(verdict.chord.word in RIGHT for verdict in verdicts)
    right = ", all chords right" if all_right else ""
    return ReportedManner(
        hands=hands,
        bars=tuple(sorted({bar.number for bar in bars})),
        say=f"{where[:1].upper()}{where[1:]}: {_what(graph, hands, bars)}{right}.",
    )


def _what(graph: BarGraph, hands: Sequence[HandManner], bars: Sequence[Bar]) -> str:
    manners = {one.manner for one in hands}
    if len(hands) == 2 and manners == {"once"}:
        return "the pattern was simplified to one strike a chord"
    if len(hands) == 2 and len(manners) == 1:
        return f"both hands {PLAYS[hands[0].manner]} instead of the pattern"
    clauses = [f"the {one.hand} hand {PLAYS[one.manner]}" for one in hands]
    if len(hands) == 2:
        return f"{listed(clauses)} instead of the pattern"
    has = _pattern_has(graph, bars, hands[0].hand)
    return f"{clauses[0]} {f'where the pattern has {has}' if has else 'instead of the pattern'}"


def _pattern_has(graph: BarGraph, bars: Sequence[Bar], hand: Hand) -> str:
    """`quarters`, where the pattern of that hand has one name in all the bars."""
    names = {rhythm_of(bar, hand, graph.swing) for bar in bars}
    (name,) = names if len(names) == 1 else (None,)
    return "" if name is None else NAMES[name]
