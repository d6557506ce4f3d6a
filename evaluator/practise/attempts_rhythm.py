"""What was tried of the pattern: its strikes, its bar lines, and what it has no place for?"""

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement, StrikeFault
from evaluator.practise.attempt import (
    Attempt,
    Label,
    Shares,
    Skill,
    TriedBar,
    chord_skills,
    same,
    skeleton,
)
from evaluator.report.faults import manner_share
from evaluator.report.places import beat_words

ADDED_COST: Final = 0.5
"""Of a strike too many, against 1 for one that is missed, as the marks have it."""
LATE_LINE: Final = 0.075
LATE_LINE_BEATS: Final = 0.11
"""A bar line so late between its neighbours is a hesitation, though both hands made it
together and no strike was off the beat: seconds, and beats if that is more, where a strike
is called late as well."""


class StrikePlace(NamedTuple):
    """Where in a pattern a strike is, or should not be."""

    pattern: str
    """All places of the pattern (`skeleton`)."""
    hand: str
    beat: str
    """In words."""


def strikes(tried: TriedBar, graph: BarGraph, shares: Shares) -> Iterator[Attempt]:
    """One attempt for each strike that the pattern wants of the bar, and a failed one for each
    fault of a strike that the pattern has no place for."""
    verdict, bar, labels = tried.verdict, tried.bar, tried.labels
    faults = [fault for fault in verdict.rhythm.faults if fault.kind != "added"]
    if verdict.rhythm.score is None:
        return
    worth = shares["rhythm"] / max(len(bar.strikes), len(faults) + verdict.rhythm.hits, 1)
    pattern = skeleton(bar)
    others = {one.hand for one in verdict.rhythm.otherwise}
    for strike in bar.strikes:
        if strike.hand in others:
            continue
        beat = float(strike.beat)
        fault = next((f for f in faults if f.hand == strike.hand and same(f.beat, beat)), None)
        if fault is not None:
            faults.remove(fault)
        label = next((one for one in labels if same(one.beat, beat)), None)
        place = StrikePlace(pattern, strike.hand, beat_words(beat, graph, bar))
        yield _strike_attempt(bar, place, label, (beat, worth), fault)
    for fault in faults:
        place = StrikePlace(pattern, fault.hand, beat_words(fault.beat, graph, bar))
        yield _strike_attempt(bar, place, None, (fault.beat, worth), fault)


def _strike_attempt(
    bar: Bar,
    place: StrikePlace,
    label: Label | None,
    where: tuple[float, float],
    fault: StrikeFault | None,
) -> Attempt:
    beat, worth = where
    skills = [
        Skill("rhythm", "place", place),
        Skill("rhythm", "section place", (bar.section, *place[1:])),
        Skill("rhythm", "section", (bar.section,)),
        Skill("rhythm", "pattern", (place.pattern,)),
    ]
    if label is not None:
        skills += chord_skills("rhythm", label)
    if fault is None:
        return Attempt(tuple(skills), bar, beat)
    return Attempt(
        tuple(skills),
        bar,
        beat,
        worth,
        case=fault.kind,
        expected=label.chord if label else "",
        before=label.chord_before if label else "",
        ms=fault.ms,
    )


def other_rhythm(tried: TriedBar, rubric: Rubric) -> Iterator[Attempt]:
    """The pattern itself, where a hand plays another rhythm and that counts."""
    verdict, bar = tried.verdict, tried.bar
    cost = rubric.shares["rhythm"] * manner_share(verdict, bar, rubric)
    if cost:
        section = Skill("rhythm", "section", (bar.section,))
        pattern = Skill("rhythm", "pattern", (skeleton(bar),))
        yield Attempt((section, pattern), bar, 0.0, cost, case="other rhythm")


def bar_line(tried: TriedBar, late: float | None, shares: Shares) -> Iterator[Attempt]:
    """Getting over the bar line in time; `late`: seconds, None where nothing can be said of it."""
    if late is None or not tried.labels:
        return
    bar, label = tried.bar, tried.labels[0]
    failed = late > 0
    yield Attempt(
        chord_skills("rhythm", label),
        bar,
        label.beat,
        2 * shares["rhythm"] / max(len(bar.strikes), 4) if failed else 0.0,
        case="late",
        expected=label.chord,
        before=label.chord_before,
        ms=1000 * late,
    )


def late_lines(
    graph: BarGraph, judgement: Judgement, halts: Sequence[FormFinding]
) -> dict[int, float]:
    """By the number of the played bar, how late its bar line is between its neighbours, seconds.

    0 for a line in time; bars next to a halt, or that do not follow on, are left out.
    """
    late: dict[int, float] = {}
    for before, here, after in zip(
        judgement.bars, judgement.bars[1:], judgement.bars[2:], strict=False
    ):
        first, second = graph.bars[before.bar].seconds, graph.bars[here.bar].seconds
        follows = same(before.end, here.start) and same(here.end, after.start)
        halted = any(before.start <= halt.at < here.end for halt in halts)
        if not (here.judged and follows) or halted:
            continue
        whole = here.end - before.start
        off = here.start - (before.start + whole * first / (first + second))
        beat = whole / (first + second) * graph.bars[here.bar].seconds_per_beat
        late[here.played] = off if off > max(LATE_LINE, LATE_LINE_BEATS * beat) else 0.0
    return late


def added_places(graph: BarGraph, judgement: Judgement) -> frozenset[StrikePlace]:
    """Where strikes too many were made anywhere in the take."""
    return frozenset(
        place
        for verdict in judgement.bars
        if verdict.judged
        for place in _added_in(verdict, graph.bars[verdict.bar], graph)
    )


def _added_in(verdict: BarVerdict, bar: Bar, graph: BarGraph) -> list[StrikePlace]:
    return [
        StrikePlace(skeleton(bar), fault.hand, beat_words(fault.beat, graph, bar))
        for fault in verdict.rhythm.faults
        if fault.kind == "added"
    ]


def added(
    tried: TriedBar, places: frozenset[StrikePlace], graph: BarGraph, shares: Shares
) -> Iterator[Attempt]:
    """Where a strike too many was made anywhere in the take, every bar of that pattern is a try at
    not making it."""
    bar = tried.bar
    here = _added_in(tried.verdict, bar, graph)
    worth = ADDED_COST * shares["rhythm"] / max(len(bar.strikes), 1)
    for place in sorted(places):
        if place.pattern != skeleton(bar):
            continue
        skills: tuple[Skill, ...] = (
            Skill("rhythm", "place", (*place, "added")),
            Skill("rhythm", "section place", (bar.section, *place[1:], "added")),
        )
        again = place in here
        if again:
            # A strike too many is a fault of the pattern, but leaving it out proves nothing.
            skills += (
                Skill("rhythm", "section", (bar.section,)),
                Skill("rhythm", "pattern", (place.pattern,)),
            )
        yield Attempt(skills, bar, 0.0, worth if again else 0.0, case="added")
