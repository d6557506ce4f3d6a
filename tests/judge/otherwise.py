"""A song played in another manner than its pattern's, every chord and bass right.

The player of `tests.playing` plays a graph in which the strikes of each hand are those of
the manner; what comes out is judged against the song itself. Common practice of
accompaniment, no source.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand, Span
from tests.playing import Performance

STEPS: Mapping[str, Fraction | None] = {
    "whole": None,
    "halves": Fraction(2),
    "quarters": Fraction(1),
    "eighths": Fraction(1, 2),
    "broken": Fraction(1, 2),
}
"""Beats between strikes; None strikes once a chord. Broken is struck tone by tone."""
FIGURE = (1, 5, 3, 5)
"""Degrees of a broken chord, over and over."""


def played_as(
    graph: BarGraph, manners: Mapping[Hand, str], *, sections: frozenset[int] | None = None
) -> BarGraph:
    """The song as if its pattern were the manner of each hand that is named, in the sections
    that are named or all."""
    return replace(
        graph,
        bars=tuple(
            _as(bar, manners) if sections is None or bar.section_index in sections else bar
            for bar in graph.bars
        ),
    )


def _as(bar: Bar, manners: Mapping[Hand, str]) -> Bar:
    kept = [strike for strike in bar.strikes if strike.hand not in manners]
    new = [
        strike
        for hand, manner in manners.items()
        for place, span in enumerate(bar.spans)
        for strike in _strikes(hand, manner, place, span)
    ]
    order = sorted([*kept, *new], key=lambda strike: (strike.beat, strike.hand))
    return replace(bar, strikes=tuple(order))


def _strikes(hand: Hand, manner: str, place: int, span: Span) -> Iterator[ExpectedStrike]:
    if span.chord is None or span.bass is None:
        return
    step = None if span.held else STEPS[manner]
    count = 1 if step is None else max(1, int(span.beats / step))
    for turn in range(count):
        beat = span.beat + turn * (step or 0)
        if manner == "broken" and not span.held:
            degree = span.chord.degree(FIGURE[turn % len(FIGURE)])
            tone = span.chord.root.pc if degree is None else degree
            if hand == "left" and turn == 0:
                tone = span.bass
            yield ExpectedStrike(beat, hand, frozenset({tone}), "tone", place)
        elif hand == "left":
            yield ExpectedStrike(beat, hand, frozenset({span.bass}), "bass", place)
        else:
            yield ExpectedStrike(beat, hand, span.chord.tones, "chord", place)


def hand_later(performance: Performance, hand: Hand, seconds: float) -> Performance:
    """The same with one hand that much behind the other; a negative number is ahead."""
    notes = [
        replace(note, onset=note.onset + seconds, offset=note.offset + seconds)
        if note.hand == hand
        else note
        for note in performance.notes
    ]
    return replace(
        performance, notes=tuple(sorted(notes, key=lambda note: (note.onset, note.pitch)))
    )
