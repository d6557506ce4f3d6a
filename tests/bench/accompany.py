"""What do two hands strike that play the song's chords and not its pattern?

    right = block("eighth", off)          # a maker: from a bar to one hand's strikes
    played = strikes_of(graph, left=bass("whole", off), right=right)

A maker knows the bar's chords and nothing of its pattern. Every chord change is struck on
its place; where the bar's N.C. is, nothing is. A broken chord has all its tones within its
span, or it is struck whole. Common practice of accompaniment, no source.

Units: beats of the bar from 0, as `Fraction`; `off` is the place of the off-beat within
the beat, one half where the feel is straight.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand
from evaluator.theory.symbol import ChordSymbol
from tests.bench.dice import Dice
from tests.playing.strokes import scale_of

Maker = Callable[[Bar], list[ExpectedStrike]]
Hands = tuple[Maker, Maker]
"""What the left and the right hand strike."""
Length = Literal["whole", "half", "quarter", "eighth", "triplet"]
Figure = Literal["up", "down", "wave", "alberti"]

TUNE_LOW, TUNE_HIGH = 74, 89
"""Keys of a tune: above where the right hand has its chords."""
_ON_THE_BEAT, _OFF_THE_BEAT = 0.8, 0.3
"""Share of places on which a tune has a note."""
_CHORD_TONE = 0.8
"""Share of a tune's notes on the beat that are chord tones; at a change all of them are."""
_LEFT_FIGURES: tuple[tuple[int, ...], ...] = (
    (1, 5, 8, 5),
    (1, 5, 3, 5),
    (1, 3, 5, 3),
    (1, 5, 8, 3),
)


def off_beat(graph: BarGraph) -> Fraction:
    """Where the chart's feel has the off-beat."""
    return graph.swing / (1 + graph.swing)


def places(bar: Bar, length: Length, off: Fraction) -> list[tuple[Fraction, int]]:
    """Beat and span of every strike: at each change of chord, and so often between."""
    grid = {beat for beat in _grid(bar, length, off) if beat < bar.beats}
    grid |= {span.beat for span in bar.spans}
    found = []
    for beat in sorted(grid):
        span = bar.span_at(beat)
        if span.chord is not None and not (span.held and beat != span.beat):
            found.append((beat, bar.spans.index(span)))
    return found


def _grid(bar: Bar, length: Length, off: Fraction) -> set[Fraction]:
    beats = bar.meter.beats
    by_threes = bar.meter.unit == 8 and beats % 3 == 0
    if length == "whole":
        return {Fraction(0)}
    if length == "half":
        return {Fraction(0), Fraction((beats + 1) // 2)}
    if length == "quarter":
        return {Fraction(beat) for beat in range(0, beats, 3 if by_threes else 1)}
    if bar.meter.unit == 8:
        return {Fraction(beat) for beat in range(beats)}
    parts = (Fraction(0), off) if length == "eighth" else tuple(Fraction(n, 3) for n in range(3))
    return {beat + part for beat in range(beats) for part in parts}


def bass(length: Length, off: Fraction) -> Maker:
    """The left hand strikes the bass."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        return [_bass(bar, beat, span) for beat, span in places(bar, length, off)]

    return strikes


def block(length: Length, off: Fraction) -> Maker:
    """The right hand strikes the whole chord."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        return [_chord(bar, beat, span) for beat, span in places(bar, length, off)]

    return strikes


def after(off: Fraction) -> Maker:
    """The right hand strikes the chord on the beats on which the bass is silent."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        changes = {span.beat for span in bar.spans}
        found = places(bar, "quarter", off)
        late = [(beat, span) for beat, span in found if beat not in changes]
        answered = {span for _, span in late}
        return [_chord(bar, beat, span) for beat, span in found if beat not in changes] + [
            _chord(bar, beat, span) for beat, span in found if span not in answered
        ]

    return strikes


def off_beats(off: Fraction) -> Maker:
    """The right hand strikes between the beats alone."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        found = places(bar, "eighth", off)
        between = [(beat, span) for beat, span in found if beat.denominator > 1]
        answered = {span for _, span in between}
        starts = [(span.beat, bar.spans.index(span)) for span in bar.spans]
        alone = [(beat, span) for beat, span in found if (beat, span) in starts]
        alone = [(beat, span) for beat, span in alone if span not in answered]
        return [_chord(bar, beat, span) for beat, span in between + alone]

    return strikes


def through_both(off: Fraction) -> Hands:
    """The chord is broken upward from the left hand through the right one, in eighths."""
    left, right = (_through(off, hand) for hand in ("left", "right"))
    return left, right


def _through(off: Fraction, hand: Hand) -> Maker:
    def strikes(bar: Bar) -> list[ExpectedStrike]:
        made = []
        for index, span in enumerate(bar.spans):
            beats = [beat for beat, of in places(bar, "eighth", off) if of == index]
            if span.chord is None or not beats:
                continue
            tones = _from_root(span.chord)
            made.append(_bass(bar, beats[0], index))
            if len(beats) < len(tones) + 2 or span.held:
                made.append(_chord(bar, beats[0], index))
                continue
            fifth = span.chord.degree(5)
            if fifth is not None:
                made.append(ExpectedStrike(beats[1], "left", frozenset({fifth}), "tone", index))
            for turn, beat in enumerate(beats[2:]):
                tone = frozenset({tones[turn % len(tones)]})
                made.append(ExpectedStrike(beat, "right", tone, "tone", index))
        return [strike for strike in made if strike.hand == hand]

    return strikes


def stride(off: Fraction) -> Maker:
    """The left hand has the bass, and the chord on the beats between."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        chords = [replace(strike, hand="left") for strike in after(off)(bar)]
        return [*bass("half", off)(bar), *chords]

    return strikes


def broken(figure: Figure, length: Length, off: Fraction) -> Maker:
    """The right hand plays the chord's tones one after another."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        made = []
        found = places(bar, length, off)
        for index, span in enumerate(bar.spans):
            beats = [beat for beat, of in found if of == index]
            if span.chord is None or not beats:
                continue
            tones = _from_root(span.chord)
            order = _FIGURES[figure](len(tones))
            if len(beats) < len(order) or span.held:
                made += [_chord(bar, beats[0], index)]
                continue
            for turn, beat in enumerate(beats):
                tone = tones[order[turn % len(order)]]
                made.append(ExpectedStrike(beat, "right", frozenset({tone}), "tone", index))
        return made

    return strikes


_FIGURES: Mapping[Figure, Callable[[int], tuple[int, ...]]] = {
    "up": lambda n: tuple(range(n)),
    "down": lambda n: tuple(reversed(range(n))),
    "wave": lambda n: (*range(n), *range(n - 2, 0, -1)),
    "alberti": lambda n: tuple(k for low in range(n - 1) for k in (low, n - 1)),
}
"""In which order a chord of so many tones is broken: places in it from the root."""


def broken_left(dice: Dice, length: Length, off: Fraction) -> Maker:
    """The left hand breaks the chord upward from the bass; the right hand is another maker's."""
    degrees = dice.pick(_LEFT_FIGURES)

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        made = []
        turns: dict[int, int] = {}
        for beat, index in places(bar, length, off):
            turn = turns[index] = turns.get(index, -1) + 1
            chord = bar.spans[index].chord
            assert chord is not None
            tone = chord.degree(degrees[turn % len(degrees)])
            if turn == 0 or tone is None:
                made.append(_bass(bar, beat, index))
            else:
                made.append(ExpectedStrike(beat, "left", frozenset({tone}), "tone", index))
        return made

    return strikes


def triads(length: Length, off: Fraction) -> Maker:
    """The right hand has root, third and fifth, whatever else the chord has."""
    return _some_tones(length, off, (1, 3, 5))


def power(length: Length, off: Fraction) -> Maker:
    """The right hand has root and fifth alone."""
    return _some_tones(length, off, (1, 5))


def one_note(degree: int, length: Length, off: Fraction) -> Maker:
    """One finger of the right hand, always on the same degree of the chord."""
    return _some_tones(length, off, (degree,))


def _some_tones(length: Length, off: Fraction, degrees: Sequence[int]) -> Maker:
    def strikes(bar: Bar) -> list[ExpectedStrike]:
        made = []
        for beat, index in places(bar, length, off):
            chord = bar.spans[index].chord
            assert chord is not None
            tones = {chord.degree(degree) for degree in degrees} - {None} or {chord.root.pc}
            found = frozenset(tone for tone in tones if tone is not None)
            made.append(ExpectedStrike(beat, "right", found, "tone", index))
        return made

    return strikes


def tune(dice: Dice, off: Fraction, *, chords: Length | None) -> Maker:
    """A tune of the right hand with passing notes; over whole chords where it has those too."""
    last = [dice.count(TUNE_LOW + 3, TUNE_HIGH - 3)]

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        made = [] if chords is None else block(chords, off)(bar)
        changes = {span.beat for span in bar.spans}
        for beat, index in places(bar, "eighth", off):
            on = beat.denominator == 1
            if beat not in changes and not dice.chance(_ON_THE_BEAT if on else _OFF_THE_BEAT):
                continue
            chord = bar.spans[index].chord
            assert chord is not None
            fits = beat in changes or (on and dice.chance(_CHORD_TONE))
            tones = chord.tones if fits else frozenset(scale_of(bar.key))
            last[0] = _step(dice, last[0], tones)
            tone = frozenset({last[0] % 12})
            made.append(ExpectedStrike(beat, "right", tone, "tone", index, (last[0],)))
        return made

    return strikes


def _step(dice: Dice, key: int, tones: frozenset[int]) -> int:
    """One of the nearest keys of these tones, now and then a farther one."""
    keys = [k for k in range(TUNE_LOW, TUNE_HIGH + 1) if k % 12 in tones]
    near = sorted(keys, key=lambda k: (abs(k - key), k))
    return dice.pick(near[: 5 if dice.chance(0.2) else 3])


def nothing(bar: Bar) -> list[ExpectedStrike]:
    """A hand in the lap."""
    return []


def as_written(hand: Literal["left", "right"]) -> Maker:
    """What the chart's pattern has for that hand."""
    return lambda bar: [strike for strike in bar.strikes if strike.hand == hand]


def whole_chords(bar: Bar, strikes: Sequence[ExpectedStrike]) -> list[ExpectedStrike]:
    """A right hand's strikes; where those on a chord leave tones of it out, the chord once."""
    made = []
    for index, span in enumerate(bar.spans):
        here = [strike for strike in strikes if strike.span == index]
        sounded = frozenset[int]().union(*(strike.pitch_classes for strike in here))
        lacks = span.chord is not None and not span.chord.essential <= sounded
        made += [_chord(bar, span.beat, index)] if lacks else here
    return made


def _bass(bar: Bar, beat: Fraction, index: int) -> ExpectedStrike:
    tone = bar.spans[index].bass
    assert tone is not None
    return ExpectedStrike(beat, "left", frozenset({tone}), "bass", index)


def _chord(bar: Bar, beat: Fraction, index: int) -> ExpectedStrike:
    chord = bar.spans[index].chord
    assert chord is not None
    return ExpectedStrike(beat, "right", chord.tones, "chord", index)


def _from_root(chord: ChordSymbol) -> list[int]:
    return sorted(chord.tones, key=lambda tone: (tone - chord.root.pc) % 12)
