"""What is a student or a teacher told about one take?

The `Report` is complete in itself: a terminal, a JSON file and a page show it without
the chart or the take. Its fields follow the JSON file, version 1; times are seconds,
marks 0 to 100, scores 0 to 1, beats counted from 1 as musicians do.
"""

from dataclasses import dataclass

from evaluator.judge.verdict import BarVerdict, FormFinding, Marks, Tempo


@dataclass(frozen=True, slots=True)
class ChartFacts:
    title: str
    file: str
    bars: int


@dataclass(frozen=True, slots=True)
class TakeFacts:
    file: str
    seconds: float
    notes: int
    transposed: int
    complete: bool
    repairs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReportedBar:
    """One played bar with its place in the words of the lesson."""

    verdict: BarVerdict
    number: int
    section: str
    cue: str


@dataclass(frozen=True, slots=True)
class ReportedFinding:
    finding: FormFinding
    say: str


@dataclass(frozen=True, slots=True)
class LayoutBar:
    """A bar of the chart at its place on the page, and the times it was played."""

    number: int
    text: str
    played: tuple[int, ...]
    """Numbers of the played bars (from 1), none if it is missing."""


@dataclass(frozen=True, slots=True)
class LayoutLine:
    bars: tuple[LayoutBar, ...]
    cue: str
    alternative: bool
    """An `or` line that was played in place of the line above it."""


@dataclass(frozen=True, slots=True)
class LayoutSection:
    label: str
    left_out: bool
    """Optional, and not played."""
    lines: tuple[LayoutLine, ...]


@dataclass(frozen=True, slots=True)
class Loop:
    """A passage worth playing again."""

    bars: tuple[int, int]
    section: str
    why: str
    bpm: int


@dataclass(frozen=True, slots=True)
class Report:
    chart: ChartFacts
    take: TakeFacts
    marks: Marks
    tempo: Tempo
    matches: bool
    headline: str
    fix_first: tuple[str, ...]
    """At most three sentences, the costliest first."""
    bars: tuple[ReportedBar, ...]
    form: tuple[ReportedFinding, ...]
    practise: tuple[Loop, ...]
    layout: tuple[LayoutSection, ...]
