"""What was right, bar by bar, and what of the form?

The values that the judges give and the report shows. Scores are 0 to 1 (None where
nothing is judged), marks 0 to 100, times seconds of the take, beats from 0 within the
bar (a report adds 1, as musicians count).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from evaluator.chart.graph import Hand
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.parts import PARTS, WHOLE, Part

Word = Literal["right", "put right", "incomplete", "wrong", "not played", "not judged"]
FaultKind = Literal["missed", "added", "early", "late"]
Manner = Literal[
    "pattern",
    "once",
    "halves",
    "dotted quarters",
    "quarters",
    "eighths",
    "after-beats",
    "off-beats",
    "broken",
    "single",
    "free",
]
"""How a hand plays
    once      one strike a chord
    halves .. eighths   strikes of that length
    after-beats   on every beat but the first
    off-beats     between the beats
    broken    the chord's tones one after the other in eighths
    single    single notes of the right hand, such as a tune
    free      none of these, and not the pattern
"""
FormKind = Literal["missing", "extra", "restart", "break", "choice"]
TouchAspect = Literal[
    "hesitation",
    "steadiness",
    "evenness",
    "balance",
    "tempo",
    "together",
    "loudness",
    "length",
    "repeats",
    "blur",
    "pedal",
    "ending",
]
"""What touch is measured by; see `evaluator.judge.touch` for each."""


@dataclass(frozen=True, slots=True)
class SpanVerdict:
    """What became of the chord, or of the bass, over one sign of a bar."""

    beat: float
    expected: str
    """As the chart or its bass rule wants it: `Bm7`, `C#`; `N.C.` where nothing is wanted."""
    played: str
    """What was heard, as a musician would name it; empty when nothing was."""
    word: Word
    score: float
    slips: tuple[str, ...] = ()
    """Names of neighbouring keys that were brushed."""
    mute: tuple[str, ...] = ()
    """Names of written keys inside a chord that did not speak."""
    root_for_bass: bool = False
    """The chord's plain root was played where the chart wants another bass."""
    missing: tuple[str, ...] = ()
    """Tones of a chord that were not heard,"""
    foreign: tuple[str, ...] = ()
    """and those that were heard in their place."""
    loss: float | None = None
    """What is lost in it, 0 to 1, the worst telling most, where several strikes were judged one
    by one: the root of the mean of the squares of what each loses."""


@dataclass(frozen=True, slots=True)
class PartVerdict:
    """What became of the chords, or of the basses, of a whole bar."""

    score: float | None
    word: Word
    """The worst of the spans'."""
    spans: tuple[SpanVerdict, ...]
    loss: float | None = None
    """What is lost in the bar, 0 to 1, the worst telling most: the root of the mean of the squares
    of what its spans lose. None where it is 1 less the score."""


@dataclass(frozen=True, slots=True)
class StrikeFault:
    """A strike that was missed, added, early or late."""

    kind: FaultKind
    beat: float
    """Where the chart wants it; where it was played, for an added one."""
    hand: Hand
    ms: float = 0.0
    """Lateness, negative for early; 0 for missed and added."""


@dataclass(frozen=True, slots=True)
class StrikeVerdict:
    """One strike, expected or added, and whether it came in time."""

    beat: float
    hand: Hand
    how: FaultKind | Literal["in time"]
    late_ms: float = 0.0
    """Negative for early; 0 for missed and added."""


@dataclass(frozen=True, slots=True)
class HandManner:
    """How a hand plays that does not play the pattern."""

    hand: Hand
    manner: Manner


@dataclass(frozen=True, slots=True)
class RhythmVerdict:
    """The strikes of a whole bar against those that its pattern wants."""

    score: float | None
    hits: int
    faults: tuple[StrikeFault, ...]
    late_ms: float
    """Mean lateness of the matched strikes."""
    spread_ms: float
    """Standard deviation of the lateness."""
    otherwise: tuple[HandManner, ...] = ()
    """Hands that play in another manner than the pattern's: they have no faults here."""
    strikes: tuple[StrikeVerdict, ...] = ()
    """Every strike that was expected or added, by beat and hand."""


@dataclass(frozen=True, slots=True)
class BarVerdict:
    """One played bar."""

    played: int
    """Which bar of the take, from 1."""
    bar: int
    """Index into `BarGraph.bars`."""
    start: float
    end: float
    bpm: float
    """Tempo in beats of the bar's own meter per minute."""
    confidence: float
    judged: bool
    """False: could not follow here, or the take was interrupted; nothing is held against it."""
    chord: PartVerdict
    bass: PartVerdict
    rhythm: RhythmVerdict


@dataclass(frozen=True, slots=True)
class FormFinding:
    """One thing about the form: bars missing or too many, a restart, a halt, a choice that the
    chart allows."""

    kind: FormKind
    bars: tuple[int, ...]
    """Numbers in the expanded chart. `missing`: not played; `extra`: came once too often;
    `restart`: the first is where it went on; `break`: the bar of the halt; `choice`: the
    bars chosen or left out."""
    count: int
    """Bars lost or added; 0 for a break or a choice."""
    section: str
    tail: bool
    at: float
    """Where in the take, seconds."""
    run: tuple[int, int] | None = None
    """First and last number of the bars that sound alike there, when which of them is
    missing or extra cannot be known."""
    halt: float = 0.0
    """Seconds of standstill, for a restart or a break."""
    detail: str = ""
    """`choice`: `or line`, `left out`, `times`, or `through` where the song, which had ended, was
    begun once more; `restart`: `bar` or `line` it went back to; `missing`/`extra`: `bars`, `line`
    or `section` when exactly a whole one, `sections` when several whole ones."""


@dataclass(frozen=True, slots=True)
class Extent:
    """What of the song there is in a take, counted in bars."""

    first: int
    """Numbers of the first and the last bar played, in the order of the chart."""
    last: int
    bars: int
    """Of the song, as it was to be played on the way that was taken."""
    unreached: int
    """Before the beginning and behind the end of the take."""
    played: int
    """Of the song, the bars that were played."""
    judged: int
    """Those of them that could be followed."""

    @property
    def share(self) -> float:
        """Of the song's bars, those that were played: 0 to 1."""
        return self.played / self.bars

    @property
    def heard(self) -> float:
        """Of the song's bars, those that could be followed: 0 to 1."""
        return self.judged / self.bars


@dataclass(frozen=True, slots=True)
class TouchVerdict:
    """One aspect of how it was played, measured and marked."""

    aspect: TouchAspect
    value: float | None
    """Measured; None where it cannot be told."""
    unit: str
    """What the value counts."""
    mark: float | None
    """0 to 100; None where nothing was measured, or nobody can say what would be right."""
    matters: bool = False
    """Far enough off to be said."""
    bars: tuple[int, ...] = ()
    """Indices into the played bars: where it matters most, the worst first."""
    count: int = 0
    """How often, for a hesitation; steps that are too short, for the evenness."""
    seconds: float = 0.0
    """How long all hesitations are."""
    hand: Hand | None = None
    """The hand that it is about, where it is about one."""
    between: tuple[float, float] | None = None
    """Slowest and fastest tempo, beats of the chart's meter a minute, for the steadiness."""
    staccato: bool = False
    """For the length, whether it is that of notes with a dot."""


@dataclass(frozen=True, slots=True)
class Touch:
    """How it was played, beside what was played."""

    mark: float | None = None
    """0 to 100, the mean of the aspects that count; None where none of them can be told."""
    counted: tuple[TouchAspect, ...] = ()
    """The aspects in the mark."""
    aspects: tuple[TouchVerdict, ...] = ()


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of a take, each 0 to 100."""

    overall: float
    parts: Mapping[Part, float | None]
    """Of every part; None where the chart or the take gives nothing to judge."""

    def __getitem__(self, part: Part) -> float | None:
        return self.parts[part]

    @property
    def by_name(self) -> dict[str, float | None]:
        """The whole and the parts, in the order of their columns."""
        return {WHOLE: self.overall, **{part: self.parts[part] for part in PARTS}}


UNMARKED: Final = Marks(0.0, {**dict.fromkeys(PARTS), "form": 100.0})
"""Of a take in which nothing was judged."""


@dataclass(frozen=True, slots=True)
class SectionTempo:
    """A section with a tempo of its own, against what the chart has there."""

    section: int
    """Section index."""
    bpm: float
    """Beats of the chart's meter a minute, as if the chart had its own tempo there."""
    rest: float
    """The same of the other bars."""


@dataclass(frozen=True, slots=True)
class ShortBar:
    """A bar after which the player went on too soon."""

    bar: int
    """Index into `BarGraph.bars`."""
    beats: int
    """That it lost."""


@dataclass(frozen=True, slots=True)
class Drift:
    """A tempo that gets slower, or faster, from the beginning to the end."""

    first: float
    """Beats of the chart's meter a minute at the beginning,"""
    last: float
    """and at the end."""


@dataclass(frozen=True, slots=True)
class Tempo:
    """The tempo of a take, in beats of the chart's meter a minute."""

    chart: float
    median: float
    steadiness_pct: float
    """Spread of the bars' tempo about its slow course, percent: small is steady."""
    stated: bool = True
    """Whether the chart asks for its tempo, or has it only to begin with."""
    sections: tuple[SectionTempo, ...] = ()
    """Those that were played much slower or faster than the rest."""
    swing: float | None = None
    """Long to short eighth as played; None where that was not heard."""
    drift: Drift | None = None
    """None where the tempo stays, or changes otherwise than little by little."""
    short: tuple[ShortBar, ...] = ()
    """Bars that lost a beat or more."""
    slow: tuple[int, ...] = ()
    """Bars that were played much more slowly than those around them, indices into
    `BarGraph.bars`."""
    counted: int | None = None
    """Beats that are counted in each bar instead of the chart's; None where they are its own."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """Everything that was judged about one take."""

    bars: tuple[BarVerdict, ...]
    form: tuple[FormFinding, ...]
    tempo: Tempo
    matches: bool
    """False: this is hardly a take of this song, and the marks mean nothing."""
    marks: Marks = UNMARKED
    rubric: Rubric = STEADY
    """The yardstick of the marks."""
    touch: Touch = Touch()
    """How it was played, beside what was played."""
    extent: Extent | None = None
    """What of the song there is in the take; None where nothing was played."""
