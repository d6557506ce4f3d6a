"""What does a score say that a chart can hold?

The parts of a MusicXML score after reading, bar by bar as printed: chords, words, marks
of the form, and for a score of two staves the notes of each hand. Knows nothing of the
library that reads the files.

Offsets and lengths are quarter notes from the bar line, exact.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from evaluator.chart.graph import Hand, Meter
from evaluator.chart.model import NoteSign
from evaluator.errors import EvaluatorError, UsageError
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import Key


class ScoreError(EvaluatorError):
    """A score that cannot be read, or not be made a chart of."""


class MissingLibraryError(UsageError):
    """Scores need music21, and it is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "Scores need the package music21, which is not installed. "
            "Install it with: pip install music21"
        )


@dataclass(frozen=True, slots=True)
class Harmony:
    """A chord symbol of the score."""

    offset: Fraction
    chord: str | None
    """As a chart writes it; None where the score says N.C."""


@dataclass(frozen=True, slots=True)
class Tone:
    """Keys that one hand strikes together, or still holds."""

    offset: Fraction
    length: Fraction
    pitches: tuple[Pitch, ...]
    """From the lowest up."""
    struck: bool = True
    """False where a tie holds them from before."""
    graces: tuple[Pitch, ...] = ()
    """Small notes before them, in order."""
    after: tuple[Pitch, ...] = ()
    """Small notes behind them."""
    signs: tuple[NoteSign, ...] = ()


@dataclass(frozen=True, slots=True)
class Syllable:
    """A syllable of the words, or a whole word."""

    text: str
    goes_on: bool
    """The word goes on with the next syllable."""


@dataclass(frozen=True, slots=True)
class BarSigns:
    """What stands at a bar to say which bar comes next."""

    repeat_start: bool = False
    repeat_end: int = 0
    """How many times the bars before this sign are played in all; 0 without a sign."""
    endings: frozenset[int] = frozenset()
    """The times for which this bar is, under an ending bracket; empty for every time."""
    ending_start: bool = False
    segno: bool = False
    coda: bool = False
    """The bar where the coda begins."""
    to_coda: bool = False
    """At the end of the bar."""
    fine: bool = False
    """At the end of the bar."""
    jump: str = ""
    """At the end of the bar: `capo` or `segno`."""
    until: str = ""
    """Of a jump: `fine`, `coda`, or nothing."""


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """One bar as printed."""

    label: str
    """Its number in the score."""
    meter: Meter
    """What it holds: the meter of the score, or less in a pickup."""
    harmonies: tuple[Harmony, ...] = ()
    words: Mapping[int, tuple[Syllable, ...]] = field(default_factory=dict)
    """By the number of the verse."""
    hands: Mapping[Hand, tuple[Tone, ...]] = field(default_factory=dict)
    """Empty in a lead sheet."""
    slashes: bool = False
    """Slashes stand for its notes: the rhythm is the player's."""
    heading: str = ""
    """The name of the section that begins here."""
    optional: bool = False
    """The words over it say that its section may be left out."""
    bpm: float | None = None
    """Quarter notes per minute from here on."""
    tempo_printed: bool = True
    """False for a tempo that is there only for playing the score back."""
    key: Key | None = None
    """From here on."""
    new_line: bool = False
    section_end: bool = False
    """A double bar line stands at its end."""
    marks: BarSigns = BarSigns()

    @property
    def length(self) -> Fraction:
        """Length in quarter notes."""
        return Fraction(4 * self.meter.beats, self.meter.unit)


@dataclass(frozen=True, slots=True)
class Score:
    """A score, read."""

    title: str
    by: str
    bars: tuple[ScoreBar, ...]
    remarks: tuple[str, ...]
    """What could not be read, a sentence each."""
    swing: Fraction = Fraction(1)
    """Long to short eighth; 1 is straight."""
