"""What was tried in this take, how often, and what of it failed?

An attempt is one thing to be got right: the chord or the bass of a span, one strike of the
pattern, getting into a chord without a halt, the number of bars of a passage. It counts as
a try at everything that it may be an example of: the bass under A/C#, the movement from D
to A/C#, the left hand's third beat, the pattern of a section. What fails there again and
again, and not elsewhere, is what the student cannot do yet.

A cost is what a failure takes from the marks: 1 is the whole worth of one bar.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from evaluator.chart.graph import Bar, BarGraph, Span
from evaluator.judge.rubric import Part, Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement, StrikeFault
from evaluator.report.form import cost as form_cost
from evaluator.report.model import LoopKind
from evaluator.report.places import beat_words

Sort = Literal["into", "move", "place", "section place", "section", "pattern", "bar", "count"]
"""What a thing to be learnt consists of
    into           a chord, wherever it comes from
    move           a chord coming from one other chord
    place          a strike of a pattern, in all its bars
    section place  a strike of a pattern, in one section
    section        the pattern of one section
    pattern        a whole pattern
    bar            one bar
    count          the number of bars of one passage
"""

ADDED_COST: Final = 0.5
"""Of a strike too many, against 1 for one that is missed, as the marks have it."""
AT_ONCE: Final = 0.02
"""Beats; positions nearer than this are the same."""

NEAR: Final = 0.1
"""Beats by which a halt may seem to come before the chord that it delays."""
LATE_LINE: Final = 0.075
LATE_LINE_BEATS: Final = 0.11
"""A bar line so late between its neighbours is a hesitation, though both hands made it
together and no strike was off the beat: seconds, and beats if that is more, where a strike
is called late as well."""

_Shares = Mapping[Part, float]
"""What each part of the playing weighs in the overall mark."""

_SLASH = re.compile(r"/[A-G][#b♯♭]*$")


@dataclass(frozen=True, slots=True)
class Skill:
    """One thing to be learnt. Equal skills are one and the same."""

    kind: LoopKind
    sort: Sort
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Attempt:
    """One try at one or more skills."""

    skills: tuple[Skill, ...]
    bar: Bar
    beat: float
    cost: float = 0.0
    """0 for a try that succeeded."""
    case: str = ""
    """What went wrong: a word of the verdict, a kind of strike fault or of finding."""
    expected: str = ""
    played: str = ""
    before: str = ""
    """Chord, or bass, that the chart has before it; empty at the beginning."""
    ms: float = 0.0
    count: int = 1
    """Failures in it: bars lost or added."""
    finding: FormFinding | None = None


def attempts(graph: BarGraph, judgement: Judgement) -> tuple[Attempt, ...]:
    """Every attempt of a take, in the order of playing; bars that are not judged have none."""
    halts = _halts(judgement)
    added = _added_places(graph, judgement)
    lines = _late_lines(graph, judgement, halts)
    shares = judgement.rubric.shares
    found: list[Attempt] = []
    before: tuple[str, str] = ("", "")
    for verdict in judgement.bars:
        bar = graph.bars[verdict.bar]
        if not verdict.judged:
            before = ("", "")
            continue
        labels = _labels(verdict, before)
        if not _halted(verdict, bar, halts):
            # Where somebody stops to think the halt is the thing, not the keys tried about it.
            found += _sounds(verdict, bar, labels, shares)
            found += _strikes(verdict, bar, labels, (graph, shares))
            found += _line(bar, labels, lines.get(verdict.played), shares)
            found += _added(verdict, bar, added, (graph, shares))
        found += _entries(verdict, bar, labels, (halts, judgement.rubric))
        if labels:
            before = (labels[-1].chord, labels[-1].bass)
    return (*found, *_forms(graph, judgement))


def skeleton(bar: Bar) -> str:
    """The places of a bar's strikes, the same for all bars of one pattern."""
    return " ".join(f"{strike.hand[0]}{strike.beat}" for strike in bar.strikes)


@dataclass(frozen=True, slots=True)
class _Label:
    """A chord of a played bar, with what the chart has before it."""

    beat: float
    chord: str
    bass: str
    chord_before: str
    bass_before: str


def _labels(verdict: BarVerdict, before: tuple[str, str]) -> list[_Label]:
    basses = {span.beat: span.expected for span in verdict.bass.spans}
    labels: list[_Label] = []
    for span in verdict.chord.spans:
        bass = basses.get(span.beat, "")
        labels.append(_Label(span.beat, span.expected, bass, *before))
        before = (span.expected, bass)
    return labels


def _sounds(
    verdict: BarVerdict, bar: Bar, labels: Sequence[_Label], shares: _Shares
) -> Iterator[Attempt]:
    """Chord and bass of every span."""
    at = {label.beat: label for label in labels}
    for span in verdict.chord.spans:
        if span.word == "not judged":
            continue
        label = at[span.beat]
        chord, came = _SLASH.sub("", label.chord), _SLASH.sub("", label.chord_before)
        cost = shares["chord"] * (1.0 - span.score) / len(verdict.chord.spans)
        yield Attempt(
            (Skill("chord", "into", (chord,)), Skill("chord", "move", (came, chord))),
            bar,
            span.beat,
            cost if span.word != "right" else 0.0,
            case=span.word,
            expected=chord,
            played=span.played,
            before=came,
        )
    for span in verdict.bass.spans:
        if span.word == "not judged" or span.beat not in at:
            continue
        label = at[span.beat]
        cost = shares["bass"] * (1.0 - span.score) / len(verdict.bass.spans)
        under = (label.chord, span.expected)
        yield Attempt(
            (
                Skill("bass", "into", under),
                Skill("bass", "move", (label.chord_before, *under)),
            ),
            bar,
            span.beat,
            cost if span.word != "right" else 0.0,
            case=span.word,
            expected=span.expected,
            played=span.played,
            before=label.bass_before,
        )


def _strikes(
    verdict: BarVerdict,
    bar: Bar,
    labels: Sequence[_Label],
    song: tuple[BarGraph, _Shares],
) -> Iterator[Attempt]:
    """Every strike that the pattern wants, and faults of strikes that it has no place for."""
    graph, shares = song
    faults = [fault for fault in verdict.rhythm.faults if fault.kind != "added"]
    if verdict.rhythm.score is None:
        return
    worth = shares["rhythm"] / max(len(bar.strikes), len(faults) + verdict.rhythm.hits, 1)
    for strike in bar.strikes:
        fault = next(
            (f for f in faults if f.hand == strike.hand and _same(f.beat, float(strike.beat))), None
        )
        if fault is not None:
            faults.remove(fault)
        label = next((one for one in labels if _same(one.beat, float(strike.beat))), None)
        place = (strike.hand, beat_words(float(strike.beat), graph, bar))
        yield _strike_attempt(bar, place, label, (float(strike.beat), worth), fault)
    for fault in faults:
        place = (fault.hand, beat_words(fault.beat, graph, bar))
        yield _strike_attempt(bar, place, None, (fault.beat, worth), fault)


def _strike_attempt(
    bar: Bar,
    place: tuple[str, str],
    label: _Label | None,
    where: tuple[float, float],
    fault: StrikeFault | None,
) -> Attempt:
    pattern, (beat, worth) = skeleton(bar), where
    skills = [
        Skill("rhythm", "place", (pattern, *place)),
        Skill("rhythm", "section place", (bar.section, *place)),
        Skill("rhythm", "section", (bar.section,)),
        Skill("rhythm", "pattern", (pattern,)),
    ]
    if label is not None:
        skills += [
            Skill("rhythm", "into", (label.chord,)),
            Skill("rhythm", "move", (label.chord_before, label.chord)),
        ]
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


def _line(
    bar: Bar, labels: Sequence[_Label], late: float | None, shares: _Shares
) -> Iterator[Attempt]:
    """Getting over the bar line in time; None where nothing can be said of it."""
    if late is None or not labels:
        return
    label = labels[0]
    failed = late > 0
    yield Attempt(
        (
            Skill("rhythm", "into", (label.chord,)),
            Skill("rhythm", "move", (label.chord_before, label.chord)),
        ),
        bar,
        label.beat,
        2 * shares["rhythm"] / max(len(bar.strikes), 4) if failed else 0.0,
        case="late",
        expected=label.chord,
        before=label.chord_before,
        ms=1000 * late,
    )


def _late_lines(
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
        follows = _same(before.end, here.start) and _same(here.end, after.start)
        halted = any(before.start <= halt.at < here.end for halt in halts)
        if not (here.judged and follows) or halted:
            continue
        whole = here.end - before.start
        off = here.start - (before.start + whole * first / (first + second))
        beat = whole / (first + second) * graph.bars[here.bar].seconds_per_beat
        late[here.played] = off if off > max(LATE_LINE, LATE_LINE_BEATS * beat) else 0.0
    return late


_Added = tuple[str, str, str]
"""Pattern, hand and beat of a strike too many."""


def _added_places(graph: BarGraph, judgement: Judgement) -> frozenset[_Added]:
    return frozenset(
        place
        for verdict in judgement.bars
        if verdict.judged
        for place in _added_in(verdict, graph.bars[verdict.bar], graph)
    )


def _added_in(verdict: BarVerdict, bar: Bar, graph: BarGraph) -> list[_Added]:
    return [
        (skeleton(bar), fault.hand, beat_words(fault.beat, graph, bar))
        for fault in verdict.rhythm.faults
        if fault.kind == "added"
    ]


def _added(
    verdict: BarVerdict,
    bar: Bar,
    places: frozenset[_Added],
    song: tuple[BarGraph, _Shares],
) -> Iterator[Attempt]:
    """Not to strike where others were struck too many is a try in every bar of the pattern."""
    graph, shares = song
    here = _added_in(verdict, bar, graph)
    worth = ADDED_COST * shares["rhythm"] / max(len(bar.strikes), 1)
    for place in sorted(places):
        if place[0] != skeleton(bar):
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
                Skill("rhythm", "pattern", (place[0],)),
            )
        yield Attempt(skills, bar, 0.0, worth if again else 0.0, case="added")


def _entries(
    verdict: BarVerdict,
    bar: Bar,
    labels: Sequence[_Label],
    found: tuple[Sequence[FormFinding], Rubric],
) -> Iterator[Attempt]:
    """Getting into every chord without a halt."""
    halts, rubric = found
    inside = _halted(verdict, bar, halts)
    beat_seconds = 60.0 / verdict.bpm if verdict.bpm > 0 else 1.0
    for place, label in enumerate(labels):
        until = labels[place + 1].beat if place + 1 < len(labels) else float("inf")
        here = [
            halt
            for halt in inside
            if label.beat <= max(0.0, (halt.at - verdict.start) / beat_seconds) + NEAR < until
        ]
        yield Attempt(
            (
                Skill("halt", "into", (label.chord,)),
                Skill("halt", "move", (label.chord_before, label.chord)),
                Skill("halt", "bar", (str(bar.number),)),
            ),
            bar,
            label.beat,
            sum(form_cost(halt, rubric) for halt in here),
            case="break",
            expected=label.chord,
            before=label.chord_before,
        )


def _halted(verdict: BarVerdict, bar: Bar, halts: Sequence[FormFinding]) -> list[FormFinding]:
    """The halts in a bar, and the one before its bar line, which is before its beginning."""
    return [
        halt
        for halt in halts
        if halt.bars[0] == bar.number and verdict.start - halt.halt - NEAR <= halt.at < verdict.end
    ]


def _halts(judgement: Judgement) -> list[FormFinding]:
    return [finding for finding in judgement.form if finding.kind == "break"]


def _forms(graph: BarGraph, judgement: Judgement) -> Iterator[Attempt]:
    """Breaking off, and bars missing or too many: each finding is one failure."""
    main = {graph.bars[index].number: graph.bars[index] for index in reversed(graph.written)}
    for finding in judgement.form:
        if finding.kind == "restart":
            bar = main[finding.bars[-1]]
            skill = Skill("halt", "bar", (str(bar.number),))
        elif finding.kind in ("missing", "extra"):
            bar = main[finding.bars[0]]
            tail = "tail" if finding.tail else str(bar.number)
            skill = Skill("count", "count", (finding.section, tail))
        else:
            continue
        yield Attempt(
            (skill,),
            bar,
            0.0,
            form_cost(finding, judgement.rubric),
            case=finding.kind,
            count=max(1, finding.count),
            finding=finding,
        )


def chord_tones(bar: Bar, beat: float) -> Span | None:
    """The span of a bar that begins at a beat, if the chart has one with a chord there."""
    for span in bar.spans:
        if _same(float(span.beat), beat) and span.chord is not None:
            return span
    return None


def _same(first: float, second: float) -> bool:
    return abs(first - second) < AT_ONCE
