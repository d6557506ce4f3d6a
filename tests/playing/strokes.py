"""Which strikes does a bar of the take have, and on what chord and bass?

The pattern's strikes, or a plain accompaniment where the chart has none, with the
mistakes of the bar put in: strikes left out, added and moved, chords and basses changed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from evaluator.chart.graph import Bar, ExpectedStrike, Hand, Span
from evaluator.theory.pitch import Key, parse_note
from evaluator.theory.symbol import ChordSymbol, parse_chord
from tests.playing.mistakes import (
    Added,
    Early,
    Fault,
    Fill,
    Lacking,
    Late,
    Missed,
    WrongBass,
    WrongChord,
    WrongNote,
)

PitchClasses = frozenset[int]

_SCALES = {"major": (0, 2, 4, 5, 7, 9, 11), "minor": (0, 2, 3, 5, 7, 8, 10)}
_DEGREES = (8, 7, 5, 3, 1)
"""Degrees of a broken chord; where two are one tone the later in the row counts."""


@dataclass(slots=True)
class Stroke:
    """A strike on its way from the pattern to the keys."""

    beat: float
    hand: Hand
    span: int
    part: Literal["bass", "chord", "tone", "fill"]
    pitch_classes: PitchClasses
    """Read for `tone` and `fill`; chord and bass come from the span's sound."""
    shift_ms: float | None = None
    """Set for a strike that is early or late by an exact amount."""
    keys: tuple[int, ...] = ()
    """Exact keys where the chart writes the notes out."""
    time: float = 0.0


@dataclass(slots=True)
class Sound:
    """What a span of the bar really sounds like: chord tones and bass, mistakes included."""

    tones: PitchClasses
    written_bass: int | None = None
    bass: int | None = None
    degrees: dict[int, int] = field(default_factory=dict)
    """Where a broken-chord tone of the chart goes when another chord is played."""


def planned(bar: Bar, faults: Sequence[Fault]) -> list[Stroke]:
    """The strikes of a bar with its mistakes in them, in no order.

    Raises:
        ValueError: for a strike to be missed or moved that the bar does not have.
    """
    strokes = [
        Stroke(float(s.beat), s.hand, s.span, s.part, s.pitch_classes, keys=s.pitches)
        for s in (bar.strikes or _accompaniment(bar))
    ]
    for fault in faults:
        if isinstance(fault, Missed | Early | Late):
            strokes = _changed(strokes, fault)
        elif isinstance(fault, WrongNote):
            strokes = _wrong_note(strokes, fault)
        elif isinstance(fault, Added):
            strokes.append(_added(fault, bar))
        elif isinstance(fault, Fill):
            strokes.append(_fill(fault, bar))
    return strokes


def sound(span: Span, faults: Sequence[Fault], *, colour: int | None, thin: bool) -> Sound:
    """Chord and bass of a span: a colour of the chart instead of the chord, then mistakes."""
    if span.chord is None:
        return Sound(frozenset())
    chord = span.chord if colour is None else span.colours[colour]
    tones, bass = playable(chord, thin=thin), span.bass
    for fault in faults:
        if getattr(fault, "beat", None) != float(span.beat):
            continue
        if isinstance(fault, WrongChord):
            chord = parse_chord(fault.chord)
            tones = playable(chord)
        elif isinstance(fault, Lacking):
            tones = tones - {parse_note(fault.tone).pc}
        elif isinstance(fault, WrongBass):
            bass = parse_note(fault.bass).pc
    return Sound(tones, span.bass, bass, degrees_between(span.chord, chord))


def playable(chord: ChordSymbol, *, thin: bool = False) -> PitchClasses:
    """The tones that the right hand takes: what may be left out goes if `thin`, or beyond five."""
    fifth = frozenset({(chord.root.pc + 7) % 12}) & chord.optional
    tones = chord.tones - fifth if thin else chord.tones
    return tones if len(tones) <= 5 else chord.essential


def scale_of(key: Key | None) -> tuple[int, ...]:
    """Pitch classes of a key from its tonic up, the minor scale natural; C major without one."""
    if key is None:
        return _SCALES["major"]
    return tuple((key.tonic.pc + step) % 12 for step in _SCALES[key.mode])


def degrees_between(written: ChordSymbol, played: ChordSymbol) -> dict[int, int]:
    """For each tone of the one chord that a broken chord may use, its like in the other."""
    pairs = [(written.degree(n), played.degree(n)) for n in _DEGREES]
    return {a: b for a, b in pairs if a is not None and b is not None}


def _accompaniment(bar: Bar) -> Iterator[ExpectedStrike]:
    for index, span in enumerate(bar.spans):
        if span.chord is None or span.bass is None:
            continue
        yield ExpectedStrike(span.beat, "left", frozenset({span.bass}), "bass", index)
        for beat in range(1 if span.held else max(1, int(span.beats))):
            at = span.beat + Fraction(beat)
            yield ExpectedStrike(at, "right", span.chord.tones, "chord", index)


def _changed(strokes: list[Stroke], fault: Missed | Early | Late) -> list[Stroke]:
    found = [s for s in strokes if s.hand == fault.hand and abs(s.beat - fault.beat) < 1e-6]
    if not found:
        raise ValueError(f"the bar has no such strike: {fault}")
    if isinstance(fault, Missed):
        return [stroke for stroke in strokes if stroke not in found]
    for stroke in found:
        stroke.shift_ms = fault.ms if isinstance(fault, Late) else -fault.ms
    return strokes


def _wrong_note(strokes: list[Stroke], fault: WrongNote) -> list[Stroke]:
    found = [s for s in strokes if abs(s.beat - fault.beat) < 1e-6 and fault.wanted in s.keys]
    if not found:
        raise ValueError(f"the bar has no such note: {fault}")
    for stroke in found:
        other = () if fault.played is None else (fault.played,)
        kept = (key for key in stroke.keys if key != fault.wanted)
        stroke.keys = tuple(sorted({*kept, *other}))
    return [stroke for stroke in strokes if stroke.keys or stroke not in found]


def _span_index(bar: Bar, beat: float) -> int:
    return bar.spans.index(bar.span_at(beat))


def _added(fault: Added, bar: Bar) -> Stroke:
    part: Literal["bass", "chord"] = "bass" if fault.hand == "left" else "chord"
    return Stroke(fault.beat, fault.hand, _span_index(bar, fault.beat), part, frozenset())


def _fill(fault: Fill, bar: Bar) -> Stroke:
    """A fill's one note is chosen here: some note of the scale, kept by bar and beat."""
    scale = scale_of(bar.key)
    tone = scale[int(fault.beat * 4 + bar.index) % len(scale)]
    return Stroke(fault.beat, "right", _span_index(bar, fault.beat), "fill", frozenset({tone}))
