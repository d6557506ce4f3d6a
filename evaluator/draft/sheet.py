"""What does a sheet say that was typed to sing from: chords above the words?

The parts of a sheet after reading, in the order in which they are sung. A sheet has no
bars: that a chord stands above a syllable says when it comes, and nothing how long it lasts.
"""

from dataclasses import dataclass

from evaluator.chart.graph import Meter
from evaluator.errors import EvaluatorError
from evaluator.theory.pitch import Key
from evaluator.theory.symbol import ChordSymbol


class SheetError(EvaluatorError):
    """A text that is no sheet with chords."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line of chords with the words under it."""

    bars: tuple[tuple[ChordSymbol | None, ...], ...]
    """Chords, None for N.C.; in groups where the sheet has bar lines, else one by one."""
    barred: bool = False
    """Whether the groups are bars."""
    words: str = ""
    count: int = 1
    remarks: tuple[str, ...] = ()
    """Sentences on what had to be assumed."""
    beats: tuple[tuple[int, ...], ...] = ()
    """For each chord of `bars` one more than the slashes behind it."""

    @property
    def chords(self) -> tuple[ChordSymbol | None, ...]:
        return tuple(chord for bar in self.bars for chord in bar)


@dataclass(frozen=True, slots=True)
class SheetSection:
    """One playing of a section."""

    name: str
    lines: tuple[SheetLine, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet, read."""

    title: str
    sections: tuple[SheetSection, ...]
    by: str = ""
    key: Key | None = None
    tempo: float | None = None
    meter: Meter | None = None
    remarks: tuple[str, ...] = ()
