"""What does a chart say, as it is written?

The parts of a chart text after reading: nothing repeated, nothing worked out, every
part with its place in the text. `compile_chart` makes the song of it.

Positions and lengths are counted, not timed: signs share a bar, columns share a
pattern. Places are text lines from 1.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from evaluator.chart.graph import Hand, Meter
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import Key, NoteName
from evaluator.theory.symbol import ChordSymbol

Stroke = Literal[".", "-", "x", "1", "3", "5", "7", "8"]
"""One column of a hand's row: nothing, still held, a strike, a strike of one degree."""

NoteSign = Literal["tr", "turn", "mord", "trem", "roll", "hold", "short", "rit", "tempo"]
"""What may stand behind a written note; `evaluator.chart.adorned` says what each is."""


@dataclass(frozen=True, slots=True)
class BassRule:
    """`A = C#`: the plain chord is expected over that note."""

    chord: ChordSymbol
    note: NoteName
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Header:
    """What holds for the whole song."""

    title: str
    tempo: float
    """Beats of `meter` per minute."""
    meter: Meter
    tempo_stated: bool = True
    """False for `about 96`: it is not asked for."""
    by: str = ""
    key: Key | None = None
    swing: Fraction = Fraction(1)
    """Long to short eighth: 1 is straight."""
    bass: tuple[BassRule, ...] = ()
    pattern: str | None = None
    """Name of the pattern that sections use when they name none; None: no patterns."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """What both hands do in a bar, column by column. The columns split the bar evenly."""

    name: str
    meter: Meter
    left: tuple[Stroke, ...]
    right: tuple[Stroke, ...]
    bass_as_written: bool
    """The left hand strikes only where the row says so, and what it says."""
    own_meter: bool
    """The meter stands in the pattern's first line, and is not the chart's."""
    line: int
    unwritten: Hand | None = field(default=None, compare=False)
    """The hand that has no row, and so nothing to play."""

    @property
    def columns(self) -> int:
        """How many columns the pattern has in each row."""
        return len(self.left)


@dataclass(frozen=True, slots=True)
class Sign:
    """A chord, or N.C., with the slashes after it."""

    chord: ChordSymbol | None
    """None for N.C."""
    slashes: int
    """Further beats written out behind it."""
    colours: tuple[ChordSymbol, ...] = ()
    held: bool = False


@dataclass(frozen=True, slots=True)
class Struck:
    """Notes written out for one hand and struck together."""

    place: Fraction
    """Where in the bar, as a part of the bar."""
    share: Fraction
    """Part of the bar over which they are held."""
    pitches: tuple[Pitch, ...]
    """From the lowest up."""
    graces: tuple[Pitch, ...] = ()
    """Grace notes before them, in order."""
    after: tuple[Pitch, ...] = ()
    """Grace notes behind them."""
    signs: tuple[NoteSign, ...] = ()


@dataclass(frozen=True, slots=True)
class WrittenHand:
    """One hand's exact notes in a bar."""

    hand: Hand
    struck: tuple[Struck, ...]
    held: Fraction
    """Part of the bar, from its beginning, through which the notes before it are held."""
    columns: int
    text: str
    """As written; `%` for the same as in the bar before."""
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar between its bar lines."""

    signs: tuple[Sign, ...]
    """Of the bar before, where the bar is `%`; none while reading a bar with a mistake."""
    text: str
    meter: Meter | None
    """A meter that holds for this bar alone."""
    line: int
    column: int
    hands: tuple[WrittenHand, ...] = ()
    """Hands whose notes are written out under the bar; the others play the pattern."""

    @property
    def count(self) -> int:
        """Signs in the bar, slashes among them."""
        return len(self.signs) + sum(sign.slashes for sign in self.signs)

    @property
    def slashed(self) -> bool:
        """Whether any sign of the bar has slashes after it."""
        return any(sign.slashes for sign in self.signs)


@dataclass(frozen=True, slots=True)
class Count:
    """How many times a line is played: `x4`, `x2-4`, `x2+`."""

    low: int
    high: int | None
    """None: any number from `low` on."""

    @property
    def written(self) -> int:
        """Copies in the song written out in full."""
        return self.low if self.high is None else self.high


@dataclass(frozen=True, slots=True)
class Way:
    """One way to play a line: the line itself, or an `or` line under it."""

    bars: tuple[WrittenBar, ...]
    cue: str
    """Words under it, one space between their lines."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of bars with its `or` lines and its count."""

    ways: tuple[Way, ...]
    """The line itself first."""
    count: Count | None
    line: int


@dataclass(frozen=True, slots=True)
class Section:
    """One playing of a section: a heading, its options, and the lines that it plays."""

    name: str
    """As written when the name was first used."""
    lines: tuple[Line, ...]
    """Its own, or those of the earlier section that it plays again."""
    pattern: str | None
    meter: Meter | None
    """Also when it was given with the bars that are played again: it belongs to them."""
    key: Key | None
    tempo: float | None
    """Beats of the section's meter per minute."""
    optional: bool
    tail: Count | None
    """Replaces the count of the last counted line."""
    line: int
    other_patterns: tuple[str, ...] = ()
    """Those that may be played in place of `pattern`, one of them all through."""
    held: bool = False
    """Its last bar is struck once and held."""
    tail_line: int | None = field(init=False)
    """Place in `lines` of the last counted line."""

    def __post_init__(self) -> None:
        counted = [place for place, line in enumerate(self.lines) if line.count]
        object.__setattr__(self, "tail_line", counted[-1] if counted else None)

    @property
    def bars(self) -> tuple[int, int | None]:
        """How many bars it may have, at least and at most; None for any number more."""
        counts = [self.count_of(line) for line in range(len(self.lines))]
        lengths = [[len(way.bars) for way in line.ways] for line in self.lines]
        low = sum(count.low * min(ways) for count, ways in zip(counts, lengths, strict=True))
        high = 0
        for count, ways in zip(counts, lengths, strict=True):
            if count.high is None:
                return low, None
            high += count.high * max(ways)
        return low, high

    def count_of(self, place: int) -> Count:
        """How many times the line at that place is played."""
        if self.tail and place == self.tail_line:
            return self.tail
        return self.lines[place].count or Count(1, 1)


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart text, read."""

    file: str
    header: Header
    patterns: tuple[Pattern, ...]
    sections: tuple[Section, ...]
    text: str = field(default="", compare=False, repr=False)
    """All of it, as it was given."""
    """Playings in the order of the song."""
