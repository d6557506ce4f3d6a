"""What has been drafted: bars in lines in sections, and what is doubtful about them?

A draft is a chart that is not sure of itself. Every doubt is a sentence, which the chart
text carries as a comment. Lengths are beats of the draft's meter, times seconds of the take.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from evaluator.chart.graph import Meter
from evaluator.theory.pitch import Key, NoteName
from evaluator.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class DraftSpan:
    """A chord and its beats within one bar."""

    chord: ChordSymbol | None
    """None for N.C."""
    beats: int
    colours: tuple[ChordSymbol, ...] = ()
    """Chords that were played in its place now and then."""
    held: bool = False
    """Struck once and held."""


@dataclass(frozen=True, slots=True)
class DraftBar:
    """One bar."""

    meter: Meter
    spans: tuple[DraftSpan, ...]
    start: float | None = None
    """When it began in the take; None without a take."""
    doubts: tuple[str, ...] = ()
    """Sentences on what is not sure."""
    assumed: bool = False
    """Its length is a guess, as the remarks of the whole draft say."""


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A line of the sheet: its bars, how often they come, the words under them."""

    bars: tuple[DraftBar, ...]
    words: str = ""
    count: int = 1
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DraftSection:
    """One playing of a section."""

    name: str
    lines: tuple[DraftLine, ...]
    pattern: str | None = None
    remarks: tuple[str, ...] = ()

    @property
    def bars(self) -> tuple[DraftBar, ...]:
        """As they are played."""
        return tuple(bar for line in self.lines for bar in line.bars * line.count)


@dataclass(frozen=True, slots=True)
class DraftPattern:
    """What both hands do in a bar, a sign a column."""

    name: str
    left: tuple[str, ...]
    right: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BassRule:
    """A chord that stands on another note wherever it was played."""

    chord: ChordSymbol
    note: NoteName


@dataclass(frozen=True, slots=True)
class Draft:
    """A song as far as it could be made out."""

    title: str
    meter: Meter
    tempo: float
    """Beats of `meter` a minute."""
    sections: tuple[DraftSection, ...]
    by: str = ""
    key: Key | None = None
    swing: str = ""
    """The ratio of long to short eighths as a chart writes it; empty for straight."""
    rules: tuple[BassRule, ...] = ()
    patterns: tuple[DraftPattern, ...] = ()
    remarks: tuple[str, ...] = ()
    """Doubts about the whole."""
    tempo_stated: bool = True
    """False where the tempo is assumed."""

    def bars(self) -> Iterator[DraftBar]:
        """Every bar in the order of the song."""
        for section in self.sections:
            yield from section.bars

    @property
    def sure(self) -> tuple[int, int]:
        """How many bars are neither doubted nor assumed, and how many there are."""
        doubtless = [not (bar.doubts or bar.assumed) for bar in self.bars()]
        return sum(doubtless), len(doubtless)
