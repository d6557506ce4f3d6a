"""What is a student or a teacher told about one take?

The `Report` is complete in itself: a terminal, a JSON file and a page show it without
the chart or the take. Its fields follow the JSON file, version 1; times are seconds,
marks 0 to 100, scores 0 to 1. Every sentence counts beats from 1, as musicians do; the
verdicts inside keep their beats from 0, and what writes them out adds the one.
"""

from dataclasses import dataclass
from typing import Literal

from evaluator.chart.graph import Hand
from evaluator.judge.verdict import (
    BarVerdict,
    Extent,
    FormFinding,
    FormKind,
    HandManner,
    Marks,
    Tempo,
    TouchAspect,
    TouchVerdict,
)
from evaluator.parts import Part

BarFaultKind = Literal["lost", "chord", "incomplete", "bass", "rhythm", "otherwise", "slip"]
"""What can be the matter with a played bar
    lost        could not follow here: nothing is held against it
    chord       a wrong chord, or none
    incomplete  a chord with an essential tone missing
    bass        another bass note, or none
    rhythm      strikes missed or added, or plainly early or late
    otherwise   a hand plays another rhythm than the pattern's: no mistake of any strike
    slip        said, and the bar still counts as right: a neighbouring key was brushed, a
                key inside a chord did not speak, a chord or bass was put right at once, or
                something else that the rubric lets pass
"""

BarState = Literal["played", "missing", "left out", "lost", "not reached"]
"""What became of a bar of the chart
    played
    missing      should have been there
    left out     the chart allows the song without it
    lost         nobody knows: nothing could be heard about there
    not reached  the take begins after it or stops before it
"""


LoopKind = Literal["bass", "chord", "rhythm", "count", "halt"]
"""What is to be put right in a passage worth playing again
    count   the number of its bars
    halt    getting through it without stopping
"""


@dataclass(frozen=True, slots=True)
class ChartFacts:
    """What the report says of the chart."""

    title: str
    file: str
    bars: int


@dataclass(frozen=True, slots=True)
class TakeFacts:
    """What the report says of the take as a recording."""

    file: str
    seconds: float
    notes: int
    transposed: int
    complete: bool
    repairs: tuple[str, ...] = ()
    hand: Hand | None = None
    """The hand that alone is judged; None for both."""


@dataclass(frozen=True, slots=True)
class Term:
    """One part of the overall mark."""

    part: Part
    mark: float
    share: float
    """Its part of the whole by the rubric, 0 to 1."""
    left: float
    """What it leaves of the whole, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Reckoning:
    """How the overall mark came about: 100 times what each of the terms leaves."""

    rubric: str
    """Name of the rubric."""
    about: str
    """What it asks, in one sentence."""
    pass_mark: float
    passed: bool
    terms: tuple[Term, ...]
    """Empty for a take that is not marked."""
    let_pass: tuple[str, ...]
    """Findings that are said and do not count."""
    strictness: float
    """So many times over what is lost in the parts tells in the whole."""
    least_played: float
    """Percent of the song that must be played for a take to pass."""
    extent: Extent | None
    """What of the song there is in the take; None where nothing was played."""


@dataclass(frozen=True, slots=True)
class BarFault:
    """One thing to say about one played bar."""

    kind: BarFaultKind
    say: str
    """A phrase without the place: `bass A instead of C#`."""


@dataclass(frozen=True, slots=True)
class ReportedBar:
    """One played bar with its place in the words of the lesson."""

    verdict: BarVerdict
    number: int
    section: str
    cue: str
    faults: tuple[BarFault, ...] = ()


@dataclass(frozen=True, slots=True)
class ReportedFinding:
    """A finding of the form, with its sentence."""

    finding: FormFinding
    say: str


@dataclass(frozen=True, slots=True)
class ReportedManner:
    """Another rhythm than the pattern's, and where."""

    hands: tuple[HandManner, ...]
    bars: tuple[int, ...]
    """Numbers in the expanded chart."""
    say: str


@dataclass(frozen=True, slots=True)
class ReportedAspect:
    """One aspect of the touch."""

    verdict: TouchVerdict
    bars: tuple[int, ...]
    """Numbers of the bars where it matters most, the worst first."""
    say: str
    """A sentence with the place; empty where it does not matter."""


@dataclass(frozen=True, slots=True)
class ReportedTouch:
    """How it was played, beside what was played."""

    mark: float | None = None
    counted: tuple[TouchAspect, ...] = ()
    aspects: tuple[ReportedAspect, ...] = ()

    @property
    def said(self) -> tuple[str, ...]:
        """What matters, in sentences."""
        return tuple(one.say for one in self.aspects if one.say)


@dataclass(frozen=True, slots=True)
class LayoutBar:
    """A bar of the chart at its place on the page, and the times it was played."""

    number: int
    text: str
    played: tuple[int, ...]
    """Numbers of the played bars (from 1), none if it is missing."""
    state: BarState
    form: tuple[FormKind, ...] = ()
    """Kinds of the findings that touch this bar and are held against the take."""


@dataclass(frozen=True, slots=True)
class LayoutLine:
    """A line of bars as it lies on the page, with its words."""

    bars: tuple[LayoutBar, ...]
    cue: str
    alternative: bool
    """An `or` line that was played in place of the line above it."""


@dataclass(frozen=True, slots=True)
class LayoutSection:
    """A section as its lines lie on the page."""

    label: str
    left_out: bool
    """Optional, and not played."""
    lines: tuple[LayoutLine, ...]

    @property
    def bars(self) -> tuple[LayoutBar, ...]:
        """The bars of all its lines."""
        return tuple(bar for line in self.lines for bar in line.bars)

    @property
    def absent(self) -> BarState | None:
        """The one word for a section of which no bar was played or missed."""
        states = {bar.state for bar in self.bars}
        return states.pop() if states in ({"left out"}, {"lost"}, {"not reached"}) else None


@dataclass(frozen=True, slots=True)
class Loop:
    """A passage worth playing again and again."""

    bars: tuple[int, int]
    """First and last number in the expanded chart."""
    section: str
    cue: str
    """Words sung over its first line that has any; empty where the chart has none."""
    kind: LoopKind
    why: str
    """What fails there, and how often: a phrase without a full stop."""
    listen: str
    """What to listen for, one sentence or two."""
    bpm: int
    """Beats a minute of the passage's own meter."""
    times: int
    """How often in a row it is to come right before the tempo goes up."""
    guide: str
    """The command that makes a MIDI file of it to play along to."""


@dataclass(frozen=True, slots=True)
class Pass:
    """One time through a passage that was played round and round."""

    number: int
    start: float
    end: float
    complete: bool
    """Came to the end of the passage."""
    bpm: float
    """Beats of the bars' own meter a minute, the median of its bars."""
    marks: Marks
    wrong: tuple[int, ...]
    """Numbers of the bars in which something was not right, or that were missing."""


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that is said of one take of one song."""

    chart: ChartFacts
    take: TakeFacts
    marks: Marks
    reckoning: Reckoning
    tempo: Tempo
    matches: bool
    headline: str
    remarks: tuple[str, ...]
    """What has to be known to read the marks: repairs, transposition, an early stop,
    places that could not be followed."""
    fix_first: tuple[str, ...]
    """At most three sentences, the costliest first."""
    bars: tuple[ReportedBar, ...]
    form: tuple[ReportedFinding, ...]
    layout: tuple[LayoutSection, ...]
    practise: tuple[Loop, ...] = ()
    """What to practise; `evaluator.practise.plan` finds it."""
    passes: tuple[Pass, ...] = ()
    """Each time through, where a passage was to be played round and round."""
    touch: ReportedTouch = ReportedTouch()
    manners: tuple[ReportedManner, ...] = ()
    """Other rhythms than the pattern's; their sentences stand among the remarks."""

    @property
    def form_told(self) -> tuple[ReportedFinding, ...]:
        """The findings of the form, each sentence once: two may be one mistake."""
        return tuple({one.say: one for one in reversed(self.form)}.values())[::-1]
