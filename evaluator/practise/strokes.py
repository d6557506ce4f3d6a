"""Which keys does each hand strike, and when, where the chart is played as it is written?

Bar after bar: each strike of the pattern on its place, with the swing of the feel, on the keys
that `voicing` finds; without a pattern the bass with each chord and the chord on every beat.
Keys are held until the hand strikes again or the chord ends; notes that are written out as long
as they are written.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import Bar, ExpectedStrike, Hand, Span
from evaluator.practise import voicing

LOUDNESS: Final[dict[Hand, int]] = {"left": 66, "right": 62}
"""MIDI velocities with which each hand is sounded."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """Keys that one hand strikes together."""

    place: int
    """Which of the bars, from 0."""
    hand: Hand
    beat: Fraction
    """In the bar, from 0."""
    until: Fraction
    """When they are let go, beats of the bar."""
    keys: tuple[int, ...]


def strokes(bars: Sequence[Bar]) -> Iterator[Stroke]:
    """What both hands play in these bars, one after another."""
    right: tuple[int, ...] = ()
    for place, bar in enumerate(bars):
        strikes = bar.strikes or tuple(_plain(bar))
        broken = any(s.hand == "left" and s.part == "tone" for s in strikes)
        shapes = _shapes(bar, right)
        right = shapes[-1] if shapes else right
        last: int | None = None
        for number, strike in enumerate(strikes):
            until = _until(strikes[number + 1 :], strike, bar)
            left = voicing.bass_key(_bass(strike, bar), broken=broken)
            keys = strike.pitches or _keys(strike, shapes[strike.span], left, last)
            if strike.hand == "left" and keys:
                last = keys[-1]
            yield Stroke(place, strike.hand, strike.beat, until, keys)


def chords(bars: Sequence[Bar]) -> Iterator[Stroke]:
    """The chords alone, each struck once and held as long as it lasts."""
    right: tuple[int, ...] = ()
    for place, bar in enumerate(bars):
        shapes = _shapes(bar, right)
        right = shapes[-1] if shapes else right
        for span, keys in zip(bar.spans, shapes, strict=True):
            if span.chord is not None:
                yield Stroke(place, "right", span.beat, span.beat + span.beats, keys)


def _shapes(bar: Bar, before: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Where the right hand lies in each span of a bar."""
    shapes: list[tuple[int, ...]] = []
    for span in bar.spans:
        if span.chord is not None:
            before = voicing.next_chord(voicing.tones_to_play(span.chord), before)
        shapes.append(before)
    return shapes


def _plain(bar: Bar) -> Iterator[ExpectedStrike]:
    """Without a pattern: the bass with each chord, the chord on every beat."""
    for number, span in enumerate(bar.spans):
        if span.chord is None or span.bass is None:
            continue
        yield ExpectedStrike(span.beat, "left", frozenset({span.bass}), "bass", number)
        beat = span.beat
        while beat < span.beat + span.beats:
            yield ExpectedStrike(beat, "right", span.chord.tones, "chord", number)
            beat += span.beats if span.held else 1


def _until(later: Sequence[ExpectedStrike], strike: ExpectedStrike, bar: Bar) -> Fraction:
    """When the hand strikes again, or the chord ends; of notes written out, when they end."""
    if strike.beats:
        return min(strike.beat + strike.beats, bar.beats)
    span = bar.spans[strike.span]
    end = span.beat + span.beats
    following = [one.beat for one in later if one.hand == strike.hand and one.beat > strike.beat]
    ends = [end] if end > strike.beat else [bar.beats]
    return min([*following, *ends])


def _bass(strike: ExpectedStrike, bar: Bar) -> int:
    """The bass under a strike: the chart's, or the note itself where it has none."""
    span: Span = bar.spans[strike.span]
    return min(strike.pitch_classes) if span.bass is None else span.bass


def _keys(
    strike: ExpectedStrike, shape: tuple[int, ...], bass: int, last: int | None
) -> tuple[int, ...]:
    if strike.part == "bass":
        return (bass,)
    if strike.hand == "left":
        return tuple(voicing.broken_key(tone, bass, last) for tone in sorted(strike.pitch_classes))
    if strike.part == "chord":
        return shape
    return tuple(voicing.tone_key(tone, shape) for tone in sorted(strike.pitch_classes))
