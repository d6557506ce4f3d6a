"""What is one try at something, and what is it a try at?

An attempt is one thing to be got right: the chord or the bass of a span, one strike of the
pattern, getting into a chord without a halt, the number of bars of a passage. It counts as
a try at everything that it may be an example of: the bass under A/C#, the movement from D
to A/C#, the left hand's third beat, the pattern of a section.

A cost is what a failure takes from the marks: 1 is the whole worth of one bar.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from evaluator.chart.graph import Bar, Span
from evaluator.judge.verdict import BarVerdict, FormFinding
from evaluator.parts import Part
from evaluator.report.model import LoopKind

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

AT_ONCE: Final = 0.02
"""Beats; positions nearer than this are the same."""

Shares = Mapping[Part, float]
"""What each part of the playing weighs in the overall mark."""


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


@dataclass(frozen=True, slots=True)
class Label:
    """A chord of a played bar, with what the chart has before it."""

    beat: float
    chord: str
    bass: str
    chord_before: str
    bass_before: str


@dataclass(frozen=True, slots=True)
class TriedBar:
    """A played bar in which something can be got right."""

    verdict: BarVerdict
    bar: Bar
    labels: tuple[Label, ...]
    """Its chords."""


def tried_bar(verdict: BarVerdict, bar: Bar, before: Label | None) -> TriedBar:
    """A played bar; `before`: the last chord of the bar before, if that was judged."""
    basses = {span.beat: span.expected for span in verdict.bass.spans}
    labels: list[Label] = []
    for span in verdict.chord.spans:
        bass = basses.get(span.beat, "")
        came = ("", "") if before is None else (before.chord, before.bass)
        before = Label(span.beat, span.expected, bass, *came)
        labels.append(before)
    return TriedBar(verdict, bar, tuple(labels))


def chord_skills(kind: LoopKind, label: Label) -> tuple[Skill, Skill]:
    """Getting a thing right at a chord, wherever it comes from, and coming from the one before."""
    return (
        Skill(kind, "into", (label.chord,)),
        Skill(kind, "move", (label.chord_before, label.chord)),
    )


def skeleton(bar: Bar) -> str:
    """The places of a bar's strikes, the same for all bars of one pattern."""
    return " ".join(f"{strike.hand[0]}{strike.beat}" for strike in bar.strikes)


def chord_tones(bar: Bar, beat: float) -> Span | None:
    """The span of a bar that begins at a beat, if the chart has one with a chord there."""
    for span in bar.spans:
        if same(float(span.beat), beat) and span.chord is not None:
            return span
    return None


def same(first: float, second: float) -> bool:
    """Whether two beats of a bar are one place."""
    return abs(first - second) < AT_ONCE
