"""On which keys does a bar of the chart sound, when the page plays it as it should be?

The right hand has its chords in close position about the G above middle C and goes the
shortest way from one to the next; the left hand has its bass between E2 and D#3 and what
it breaks above that. Each key is held until its hand strikes again. Common practice of
song accompaniment, no source.

Units: MIDI keys; beats of the bar's own meter.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import Bar, ExpectedStrike, Span

RIGHT: Final = range(58, 82)
"""Keys of the right hand."""
MIDDLE: Final = 67.0
"""Where it likes to lie."""
PULL: Final = 0.2
"""How far it is drawn back there with each chord, so that a long song does not creep off."""
BASS_LOW: Final = 40
LOUDNESS: Final = {"left": 68, "right": 62}


@dataclass(frozen=True, slots=True)
class Note:
    """A key to be sounded."""

    beat: float
    beats: float
    key: int
    velocity: int


def sound_of(bars: Iterable[Bar]) -> tuple[tuple[Note, ...], ...]:
    """The notes of each bar, the right hand led on from bar to bar."""
    hand: tuple[int, ...] = ()
    found = []
    for bar in bars:
        notes: list[Note] = []
        strikes = bar.strikes or tuple(_plain(bar))
        shapes = []
        for span in bar.spans:
            if span.chord is not None:
                hand = close_position(span.chord.without_bass().tones, hand)
            shapes.append(hand)
        low = BASS_LOW
        for strike in strikes:
            beats = float(_until(strike, strikes, bar) - strike.beat)
            keys, low = _keys(strike, bar.spans[strike.span], shapes[strike.span], low)
            beat, loud = float(strike.beat), LOUDNESS[strike.hand]
            notes += [Note(beat, beats, key, loud) for key in keys]
        found.append(tuple(notes))
    return tuple(found)


def close_position(tones: Iterable[int], near: Sequence[int]) -> tuple[int, ...]:
    """The inversion of a chord that lies nearest to the hand."""
    classes = frozenset(tones)
    place = sum(near) / len(near) if near else MIDDLE
    aim = (1 - PULL) * place + PULL * MIDDLE
    shapes = [
        tuple(sorted(low + (tone - low) % 12 for tone in classes))
        for low in RIGHT
        if low % 12 in classes
    ]
    fits = [shape for shape in shapes if shape[-1] in RIGHT] or shapes
    return min(fits, key=lambda shape: (abs(sum(shape) / len(shape) - aim), shape), default=())


def _plain(bar: Bar) -> Iterable[ExpectedStrike]:
    """A chart without a pattern: bass and chord together wherever a chord comes."""
    for index, span in enumerate(bar.spans):
        if span.chord is None:
            continue
        if span.bass is not None:
            yield ExpectedStrike(span.beat, "left", frozenset({span.bass}), "bass", index)
        yield ExpectedStrike(span.beat, "right", span.chord.tones, "chord", index)


def _until(strike: ExpectedStrike, strikes: Iterable[ExpectedStrike], bar: Bar) -> Fraction:
    """When the hand leaves the keys: for its next strike, or at the bar line."""
    later = (one.beat for one in strikes if one.hand == strike.hand and one.beat > strike.beat)
    return min(later, default=bar.beats)


def _keys(
    strike: ExpectedStrike, span: Span, shape: tuple[int, ...], low: int
) -> tuple[tuple[int, ...], int]:
    """Keys of one strike, and the bass over which the left hand goes on."""
    if strike.hand == "right":
        if strike.part == "chord":
            return shape, low
        return tuple(_within(shape, pc) for pc in strike.pitch_classes), low
    if strike.part == "tone":
        above = (low + 1 + (pc - low - 1) % 12 for pc in strike.pitch_classes)
        return tuple(above), low
    bass = min(strike.pitch_classes, default=span.bass or 0)
    low = BASS_LOW + (bass - BASS_LOW) % 12
    if strike.part == "chord":
        return tuple(low + (pc - low) % 12 for pc in sorted(strike.pitch_classes)), low
    return (low,), low


def _within(shape: tuple[int, ...], pitch_class: int) -> int:
    """The key of a pitch class where the hand lies."""
    start = shape[0] if shape else round(MIDDLE)
    return start + (pitch_class - start) % 12
