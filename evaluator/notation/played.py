"""Which chords hold in each bar of a score, as it is played?

The chord symbols of the score, each up to the next, also through repeats and jumps; where it
has none, what the notes of the hands sound together (`naming`). A chart has chords on beats
only, so that one between two of them is drawn to the nearer that is free.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from evaluator.chart.typed import NO_CHORD
from evaluator.notation.naming import halfway, name_harmonies
from evaluator.notation.passages import Passage
from evaluator.notation.score import Harmony, Score, ScoreBar
from evaluator.notation.unroll import Step


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar as it is played."""

    step: Step
    bar: ScoreBar
    chords: tuple[Harmony, ...]
    """With the one that holds from before; offsets are beats of the bar."""


class ChordReader:
    """Goes through the score as it is played, and knows which chord holds."""

    def __init__(self, score: Score, *, flats: bool) -> None:
        self._score = score
        self._flats = flats
        self.has_symbols = any(bar.harmonies for bar in score.bars)
        self._held: str | None = None
        """The last chord symbol of the score, which holds until the next."""
        self._named: str | None = None
        """The last chord that was found in the notes."""
        self.remarks: list[str] = []

    def bars(self, part: Passage) -> list[PlayedBar]:
        """The bars of the next section."""
        bars = [(step, self._score.bars[step.bar]) for step in part.steps]
        return [PlayedBar(step, bar, self._chords(bar)) for step, bar in bars]

    def _chords(self, bar: ScoreBar) -> tuple[Harmony, ...]:
        named = bar.harmonies
        if bar.hands and not (self.has_symbols and (named or self._held)):
            half = halfway(bar)
            named = name_harmonies(
                bar.hands, bar.length, half, flats=self._flats, before=self._named
            )
            self._named = named[-1].chord
        by_beat = {Fraction(0): self._held, **self._on_beats(named, bar)}
        if self.has_symbols and bar.harmonies:
            self._held = by_beat[max(by_beat)]
        beats = sorted(by_beat)
        return tuple(
            Harmony(beat, by_beat[beat])
            for place, beat in enumerate(beats)
            if not place or by_beat[beat] != by_beat[beats[place - 1]]
        )

    def _on_beats(self, harmonies: Sequence[Harmony], bar: ScoreBar) -> dict[Fraction, str | None]:
        """Chords by their beats. One between two beats is drawn to the nearer that is free;
        an anticipated one, half a beat ahead, to the beat that it is meant for."""
        placed = [(harmony.offset * bar.meter.unit / 4, harmony.chord) for harmony in harmonies]
        by_beat = {beat: chord for beat, chord in placed if beat.denominator == 1}
        for exact, chord in placed:
            if exact in by_beat:
                continue
            nearest = math.floor(exact + Fraction(1, 2))
            other = math.floor(exact) if nearest > exact else nearest + 1
            free = [b for b in (nearest, other) if b < bar.meter.beats and b not in by_beat]
            said = f"{chord or NO_CHORD} comes between two beats"
            if free:
                by_beat[Fraction(free[0])] = chord
                self._remark(bar, f"{said}; it is written at beat {free[0] + 1}")
            else:
                self._remark(bar, f"{said}, both with chords of their own; it is left out")
        return by_beat

    def _remark(self, bar: ScoreBar, text: str) -> None:
        remark = f"bar {bar.label}: {text}"
        if remark not in self.remarks:
            self.remarks.append(remark)
