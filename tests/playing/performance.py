"""What is a take, and in what manner can it be played?

Units: seconds from the beginning of the take, MIDI key numbers and velocities.
"""

from dataclasses import dataclass, replace
from typing import Literal

from evaluator.chart.graph import Hand
from tests.playing.mistakes import Truth


@dataclass(frozen=True, slots=True)
class Note:
    """One key, pressed and let go."""

    onset: float
    offset: float
    pitch: int
    velocity: int
    hand: Hand


@dataclass(frozen=True, slots=True)
class PedalMove:
    """One message of the sustain pedal."""

    at: float
    value: int


@dataclass(frozen=True, slots=True)
class Performance:
    """A take and the truth about it."""

    notes: tuple[Note, ...]
    """By onset, then pitch."""
    pedal: tuple[PedalMove, ...]
    truth: Truth

    def later(self, seconds: float) -> "Performance":
        """The same take with everything that many seconds later."""
        notes = tuple(
            replace(note, onset=note.onset + seconds, offset=note.offset + seconds)
            for note in self.notes
        )
        pedal = tuple(replace(move, at=move.at + seconds) for move in self.pedal)
        bars = tuple(
            replace(bar, start=bar.start + seconds, end=bar.end + seconds)
            for bar in self.truth.bars
        )
        form = tuple(replace(item, at=item.at + seconds) for item in self.truth.form)
        return Performance(notes, pedal, replace(self.truth, bars=bars, form=form))

    def transposed(self, semitones: int) -> "Performance":
        """The same take with the piano's transpose button set."""
        notes = tuple(replace(note, pitch=note.pitch + semitones) for note in self.notes)
        return replace(
            self,
            notes=notes,
            truth=replace(self.truth, transposed=self.truth.transposed + semitones),
        )


@dataclass(frozen=True, slots=True)
class Manner:
    """How a person plays; every default is the lifeless one. Shares are from 0 to 1."""

    start: float = 1.0
    """Time of the first bar line."""
    tempo: float = 1.0
    """Speed against the chart's."""
    wander_pct: float = 0.0
    """Largest change of tempo from one bar to the next, percent; it stays within 8 percent."""
    jitter_ms: float = 0.0
    """Standard deviation of a strike about its place."""
    spread_ms: float = 0.0
    """Standard deviation of a chord's notes about the strike."""
    swing: float | None = None
    """Long to short eighth; the chart's own if not given."""
    rolled: float = 0.0
    """Share of chords rolled upward."""
    octaves: float = 0.0
    """Share of bass notes doubled an octave below."""
    doubled: float = 0.0
    """Share of right-hand chords whose lowest note is doubled an octave above."""
    thinned: float = 0.0
    """Share of chords of four tones and more without their fifth."""
    coloured: float = 0.0
    """Share of spans with a colour in which the colour is played."""
    leaps: float = 0.0
    """Share of chords in any inversion instead of the nearest."""
    left_velocity: float = 58.0
    right_velocity: float = 66.0
    uneven: float = 0.0
    """Standard deviation of the velocity."""
    length: float = 0.92
    """Part of the time to the hand's next strike for which a key is held."""
    pedal: Literal["none", "changed", "kept"] = "none"
    """`changed` with every chord; `kept` down through the changes of chord within a bar."""
