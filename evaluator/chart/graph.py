"""In what orders may the bars of this song be played, and what is expected in each?

A chart compiles to a `BarGraph`: its bars one after another as written out in full
(counted lines repeated, sections played again), and behind each bar the bars that may
legally follow it. Everything later in the program, the follower and the verdicts,
reads the song from here and never from the chart's text.

Units: positions and lengths inside a bar are beats of that bar's own meter, counted
from 0 and exact (`Fraction`); `seconds_per_beat` is the written tempo for that meter.

How the form becomes a graph
    counted line `x4`     four copies in a row
    range `x2-4`          the larger number of copies; after the second and third the
                          next line may follow
    open range `x2+`      two copies; the last may follow itself
    `or` line             beside the line above it, with the same way in and out
    optional section      the bar before it may also go to the bar after it
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, get_args

from evaluator.theory.pitch import Key
from evaluator.theory.symbol import ChordSymbol

Hand = Literal["left", "right"]
HANDS: Final[tuple[Hand, ...]] = get_args(Hand)
"""From the left; `HANDS[::-1]` is from above, as staves and tracks stand."""
StrikePart = Literal["bass", "chord", "tone"]


@dataclass(frozen=True, slots=True)
class Meter:
    """`beats` of one `unit`-th note each: 4/4, 3/4, 6/8."""

    beats: int
    unit: int

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a bar over which one sign of the chart holds."""

    beat: Fraction
    beats: Fraction
    chord: ChordSymbol | None
    """None where the chart says N.C."""
    bass: int | None
    """Pitch class that the left hand should have under the chord; None for N.C."""
    colours: tuple[ChordSymbol, ...] = ()
    """Chords that may be used here instead, never must."""
    held: bool = False
    """Struck once and held, whatever the pattern says."""
    ruled: bool = False
    """The bass comes from a bass rule of the header, not from the symbol itself."""

    def __hash__(self) -> int:
        """Fractions hash slowly, and sound and length tell most spans apart."""
        return hash((self.beat.as_integer_ratio(), self.bass, self.chord and self.chord.tones))

    @property
    def sound(self) -> tuple[frozenset[int] | None, int | None]:
        """Tones of the chord and the bass: equal for signs that sound alike."""
        return (None if self.chord is None else self.chord.tones, self.bass)

    @property
    def allowed(self) -> frozenset[int]:
        """Pitch classes that are never foreign here: chord, colours, bass."""
        if self.chord is None:
            return frozenset()
        tones = self.chord.tones
        for colour in self.colours:
            tones |= colour.tones
        return tones if self.bass is None else tones | {self.bass}


@dataclass(frozen=True, slots=True)
class ExpectedStrike:
    """One strike that the pattern, or notes written out, want from one hand."""

    beat: Fraction
    """Where it is to sound, in beats of the bar, with the swing of the chart's feel."""
    hand: Hand
    pitch_classes: frozenset[int]
    part: StrikePart
    """`bass`: the bass note; `chord`: the whole chord; `tone`: one degree of it."""
    span: int
    """Index into the bar's spans."""
    pitches: tuple[int, ...] = ()
    """MIDI keys, from the lowest up, where the chart has exact notes; empty where any
    keys of the pitch classes will do."""
    beats: Fraction = Fraction(0)
    """How long exact notes are to be held; 0 where the chart does not say."""
    around: frozenset[int] = frozenset()
    """MIDI keys that may be struck around exact notes, as ornaments are."""
    small: int = 0
    """How many small notes lead to it."""
    rolled: bool = False
    """To be spread from the lowest key up, or down."""
    waits: bool = False
    """The time is the player's here: under a fermata, in a ritard."""
    short: bool = False
    """Staccato."""

    def __hash__(self) -> int:
        """Fractions hash slowly, and place and keys tell most strikes apart."""
        return hash((self.beat.as_integer_ratio(), self.hand, self.pitch_classes, self.pitches))

    @property
    def adorned(self) -> bool:
        """Whether the way in which it is struck is the player's."""
        return self.rolled or bool(self.around)


@dataclass(frozen=True, slots=True)
class HeldOrnament:
    """An ornament of the bar before that goes on in this one, its note being held over."""

    until: Fraction
    """Beats of the bar."""
    around: frozenset[int]
    """MIDI keys that may be struck meanwhile."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the song written out in full, and its place in the words of the lesson."""

    index: int
    """Place in `BarGraph.bars`."""
    number: int
    """Number in the expanded chart, from 1. The bars of an `or` line share the numbers
    of the line they stand for; a bar of an open range keeps its number each time."""
    section: str
    """Label fit for a report: `Verse`, `Chorus 2` for a second playing."""
    section_index: int
    """Which playing of a section in the order of the song, from 0."""
    occurrence: int
    """Which playing of a section of this name, from 1."""
    line: int
    """Written line within the section, from 0; an `or` line has its main line's."""
    copy: int
    """Which time a counted line is being played, from 0."""
    place: int
    """Place of the bar in its line, from 0."""
    alternative: int
    """0 for the line itself, 1 for the first `or` line under it, and so on."""
    tail: bool
    """Belongs to the last counted line of its section."""
    meter: Meter
    seconds_per_beat: float
    key: Key | None
    cue: str
    """Words sung over the line; empty where the chart has none."""
    text: str
    """The bar as written between its bar lines."""
    spans: tuple[Span, ...]
    strikes: tuple[ExpectedStrike, ...]
    """By beat, left hand before right; empty in a chart without patterns."""
    exact: frozenset[Hand] = frozenset()
    """Hands whose notes are written out."""
    others: tuple[tuple[ExpectedStrike, ...], ...] = ()
    """What the other patterns want that the section may be played in."""
    free: bool = False
    """Any rhythm will do."""
    held_ornaments: tuple[HeldOrnament, ...] = ()

    @property
    def line_played(self) -> tuple[int, int, int]:
        """Section, line and time: equal for the bars of a line, or of an `or` line to it, that are
        played for each other."""
        return self.section_index, self.line, self.copy

    @property
    def written_out(self) -> bool:
        """Whether the notes of both hands are written out."""
        return len(self.exact) == len(HANDS)

    @property
    def beats(self) -> Fraction:
        """How many beats of its meter the bar has."""
        return Fraction(self.meter.beats)

    @property
    def seconds(self) -> float:
        """Length at the written tempo."""
        return self.meter.beats * self.seconds_per_beat

    def span_at(self, beat: Fraction | float) -> Span:
        """The span in which a beat of this bar lies (the last one for later beats)."""
        for span in reversed(self.spans):
            if span.beat <= beat:
                return span
        return self.spans[0]


@dataclass(frozen=True, slots=True)
class BarGraph:
    """A song as bars and the legal ways from bar to bar."""

    title: str
    bars: tuple[Bar, ...]
    """Main lines in playing order, each `or` line directly after the copy of its line."""
    successors: tuple[tuple[int, ...], ...]
    """For each bar the bars that may legally follow, the nominal one first."""
    starts: tuple[int, ...]
    """Bars with which the song may begin, the nominal one first."""
    finals: tuple[int, ...]
    """Bars with which the song may end."""
    written: tuple[int, ...]
    """The nominal order: main lines, every optional section, ranges at their upper count."""
    meter: Meter
    bpm: float
    """Written tempo, beats of `meter` per minute."""
    swing: Fraction
    """Long to short eighth: 1 is straight."""
    has_patterns: bool
    """Without a pattern, or notes written out, the rhythm is not judged."""
    tempo_stated: bool = True
    """False where the written tempo is only about right, and nobody asks for it."""

    @property
    def count(self) -> int:
        """Bars in the expanded chart."""
        return self.bars[self.written[-1]].number
