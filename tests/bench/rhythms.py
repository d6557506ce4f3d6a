"""In which rhythms is a song accompanied, if not in its own pattern?

Each function draws what a player's two hands strike throughout (`accompany.py`) from the
dice, for a song: a rhythm for `kinds.py`. Common practice of accompaniment, no source.
"""

from collections.abc import Callable
from dataclasses import replace

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand
from tests.bench.accompany import (
    Figure,
    Hands,
    Length,
    Maker,
    after,
    as_written,
    bass,
    block,
    broken,
    broken_left,
    off_beat,
    off_beats,
    one_note,
    power,
    stride,
    through_both,
    triads,
    tune,
    whole_chords,
)
from tests.bench.dice import Dice
from tests.bench.liberties import doubled
from tests.bench.patterns import grid, pattern

Rhythm = Callable[[Dice, BarGraph], Hands]


def even(length: Length) -> Rhythm:
    """Both hands strike that often, the left one perhaps less."""

    def hands(dice: Dice, graph: BarGraph) -> Hands:
        off = off_beat(graph)
        return bass(dice.pick((length, "whole")), off), block(length, off)

    return hands


def broken_chords(length: Length, figures: tuple[Figure, ...]) -> Rhythm:
    """The right hand breaks the chords, the left has the bass."""

    def hands(dice: Dice, graph: BarGraph) -> Hands:
        off = off_beat(graph)
        return bass(dice.pick(("whole", "half")), off), broken(dice.pick(figures), length, off)

    return hands


def left_broken(dice: Dice, graph: BarGraph) -> Hands:
    """The left hand breaks the chords, the right holds them."""
    off = off_beat(graph)
    return broken_left(dice, "eighth", off), block(dice.pick(("whole", "half")), off)


def over_pattern(dice: Dice, graph: BarGraph) -> Hands:
    """The right hand in eighths over the pattern's left hand."""
    off = off_beat(graph)
    left = as_written("left") if graph.has_patterns else bass("whole", off)
    return left, block("eighth", off)


def the_pattern(dice: Dice, graph: BarGraph) -> Hands:
    """The pattern; an accompaniment of one's own where the chart has none."""
    if graph.has_patterns:
        return as_written("left"), as_written("right")
    return own(dice, graph)


def own(dice: Dice, graph: BarGraph) -> Hands:
    """Some common accompaniment."""
    off = off_beat(graph)
    left = bass(dice.pick(("whole", "half")), off)
    right = dice.pick((block("whole", off), block("half", off), block("quarter", off), after(off)))
    return left, right


def either(dice: Dice, graph: BarGraph) -> Hands:
    """The pattern, or some common accompaniment in its place."""
    return (the_pattern if dice.chance(0.5) else own)(dice, graph)


def any_rhythm(dice: Dice, graph: BarGraph) -> Hands:
    """Any rhythm of these players, for each section."""
    rows: tuple[Rhythm, ...] = (
        the_pattern,
        own,
        even("whole"),
        even("eighth"),
        broken_chords("eighth", ("up", "wave")),
        left_broken,
    )
    return dice.pick(rows)(dice, graph)


def tune_over_chords(dice: Dice, graph: BarGraph) -> Hands:
    """The right hand has a tune and the chords under it."""
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter"))
    return bass(dice.pick(("whole", "half")), off), tune(dice, off, chords=length)


def tune_alone(dice: Dice, graph: BarGraph) -> Hands:
    """Under it the left hand has the chords (`Habits.left`)."""
    off = off_beat(graph)
    return bass(dice.pick(("whole", "half", "quarter")), off), tune(dice, off, chords=None)


def power_chords(dice: Dice, graph: BarGraph) -> Hands:
    """Root and fifth in the right hand."""
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter", "eighth"))
    return bass("whole", off), power(length, off)


def one_finger(dice: Dice, graph: BarGraph) -> Hands:
    """One degree of the chord in the right hand."""
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter"))
    return bass("whole", off), one_note(dice.pick((1, 3, 5)), length, off)


def doubled_strikes(dice: Dice, graph: BarGraph) -> Hands:
    """The pattern, or another accompaniment, with strikes that come twice."""
    left, right = either(dice, graph)
    return doubled(left, dice, 0.1), doubled(right, dice, dice.between(0.1, 0.3))


def another_pattern(dice: Dice, graph: BarGraph) -> Hands:
    """Some pattern, which the chart does not have."""
    beats, unit = graph.meter.beats, graph.meter.unit
    swung = graph.swing != 1
    lines = pattern(dice, "other", grid(dice, (beats, unit), graph.bpm, swung=swung))
    feel = f"feel: swing {graph.swing.numerator}:{graph.swing.denominator}\n" if swung else ""
    head = f"title: Other\nmeter: {graph.meter}\ntempo: {graph.bpm:g}\n{feel}"
    patterned = "\n".join(lines)

    def of(hand: Hand) -> Maker:
        def strikes(bar: Bar) -> list[ExpectedStrike]:
            text = f"{head}\n{patterned}\n\n[Bar]\n| {bar.meter}: {_signs(bar)} |\n"
            found = [_over_bass(bar, strike) for strike in read_chart(text).bars[0].strikes]
            one = [strike for strike in found if strike.hand == hand]
            return one if hand == "left" else whole_chords(bar, one)

        return strikes

    return of("left"), of("right")


def _signs(bar: Bar) -> str:
    """The bar's chords as they are typed."""
    signs = ["N.C." if span.chord is None else span.chord.text for span in bar.spans]
    signs = [f"<{s}>" if span.held else s for s, span in zip(signs, bar.spans, strict=True)]
    if len({span.beats for span in bar.spans}) == 1:
        return " ".join(signs)
    beats = [int(span.beats) for span in bar.spans]
    return " ".join(s + " /" * (n - 1) for s, n in zip(signs, beats, strict=True))


def _over_bass(bar: Bar, strike: ExpectedStrike) -> ExpectedStrike:
    """The strike on the bar's own bass, which a rule of its chart may have changed."""
    tone = bar.spans[strike.span].bass
    assert tone is not None
    return replace(strike, pitch_classes=frozenset({tone})) if strike.part == "bass" else strike


def between_beats(dice: Dice, graph: BarGraph) -> Hands:
    """The right hand between the beats."""
    off = off_beat(graph)
    return bass(dice.pick(("whole", "half", "quarter")), off), off_beats(off)


def striding(dice: Dice, graph: BarGraph) -> Hands:
    """Bass and chord in turn in the left hand, a tune in the right."""
    off = off_beat(graph)
    return stride(off), tune(dice, off, chords=None)


def triads_alone(dice: Dice, graph: BarGraph) -> Hands:
    """Triads, whatever else the chords have."""
    off = off_beat(graph)
    return bass("whole", off), triads(dice.pick(("whole", "half", "quarter")), off)


def after_beats(dice: Dice, graph: BarGraph) -> Hands:
    """Bass on the one, chords on the other beats."""
    return bass("whole", off_beat(graph)), after(off_beat(graph))


def through_both_hands(dice: Dice, graph: BarGraph) -> Hands:
    """Broken from the left hand through the right one."""
    return through_both(off_beat(graph))
