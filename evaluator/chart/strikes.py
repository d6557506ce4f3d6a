"""Where in a bar is each hand expected to strike, and what?

A pattern's columns keep their note values: a bar of another meter cuts the pattern off,
or begins it again, and a 6/8 bar takes six of the eighths of a 4/4 pattern. Then
    the bass follows the chord     where a chord comes inside the bar the left hand
                                   strikes its bass note, added if the row has nothing
                                   there; at the beginning of a chord a degree in the
                                   left row gives way to the bass note. Not in a pattern
                                   with `bass: as written`
    a held chord                   is struck once by both hands, whatever the pattern has
    N.C.                           nothing is struck
    a degree                       which the chord lacks (7 of a triad) is its root
    swing r:1                      the off-beat eighth comes at r / (1 + r) of its
                                   quarter, and what lies around it in proportion; not
                                   in eighth-note meters, where the eighth is the beat,
                                   nor in a pattern written out in triplets

Positions are beats of the bar's own meter from 0, exact.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from evaluator.chart.graph import ExpectedStrike, Hand, Meter, Span
from evaluator.chart.model import Pattern, Stroke

SILENT = (".", "-")


def choose(patterns: Sequence[Pattern], name: str | None, meter: Meter) -> Pattern | None:
    """The pattern of that name for a bar: the one for its meter, else the general one."""
    named = [pattern for pattern in patterns if pattern.name == name]
    own = [pattern for pattern in named if pattern.meter == meter]
    general = [pattern for pattern in named if not pattern.own_meter]
    return next(iter(own + general + named), None)


def swung(position: Fraction, swing: Fraction) -> Fraction:
    """Where a position in quarter notes sounds when the eighths are `swing` to one."""
    quarter, within = divmod(position, 1)
    middle = swing / (1 + swing)
    if within <= Fraction(1, 2):
        return quarter + within * 2 * middle
    return quarter + middle + (within * 2 - 1) * (1 - middle)


def expected_strikes(
    pattern: Pattern, meter: Meter, spans: Sequence[Span], swing: Fraction
) -> tuple[ExpectedStrike, ...]:
    """What the pattern wants in a bar of that meter with those spans."""
    changes = _changes(spans)
    wanted = [*_patterned(pattern, meter, spans, changes)]
    wanted += _added(pattern, spans, wanted, changes)
    for place, span in enumerate(spans):
        if span.held:
            wanted += [(span.beat, "left", "x", place), (span.beat, "right", "x", place)]
    wanted.sort(key=lambda strike: (strike[0], strike[1]))
    move = swing != 1 and meter.unit <= 4 and not _in_triplets(pattern)
    return tuple(
        _strike(
            stroke,
            swung(beat * 4 / meter.unit, swing) * meter.unit / 4 if move else beat,
            hand,
            (place, spans[place]),
        )
        for beat, hand, stroke, place in wanted
    )


_Wanted = tuple[Fraction, Hand, Stroke, int]
"""Beat before swing, hand, stroke, span."""


def _changes(spans: Sequence[Span]) -> frozenset[Fraction]:
    """Beats where a chord begins: the first, and every one that differs from the last."""
    return frozenset(
        span.beat
        for place, span in enumerate(spans)
        if place == 0
        or span.held
        or (span.chord, span.bass) != (spans[place - 1].chord, spans[place - 1].bass)
    )


def _patterned(
    pattern: Pattern, meter: Meter, spans: Sequence[Span], changes: frozenset[Fraction]
) -> Iterator[_Wanted]:
    column = Fraction(pattern.meter.beats * meter.unit, pattern.meter.unit * pattern.columns)
    rows: tuple[tuple[Hand, tuple[Stroke, ...]], ...] = (
        ("left", pattern.left),
        ("right", pattern.right),
    )
    beat = Fraction(0)
    count = place = 0
    while beat < meter.beats:
        while place + 1 < len(spans) and spans[place + 1].beat <= beat:
            place += 1
        if spans[place].chord and not spans[place].held:
            for hand, row in rows:
                stroke = row[count % pattern.columns]
                if hand == "left" and beat in changes and not pattern.bass_as_written:
                    stroke = stroke if stroke in SILENT else "x"
                if stroke not in SILENT:
                    yield beat, hand, stroke, place
        count += 1
        beat += column


def _added(
    pattern: Pattern, spans: Sequence[Span], wanted: Sequence[_Wanted], changes: frozenset[Fraction]
) -> Iterator[_Wanted]:
    """Bass notes of chords that come inside the bar where the left row has nothing."""
    if pattern.bass_as_written:
        return
    struck = {beat for beat, hand, _, _ in wanted if hand == "left"}
    for place, span in enumerate(spans):
        if place and span.chord and not span.held and span.beat in changes - struck:
            yield span.beat, "left", "x", place


def _in_triplets(pattern: Pattern) -> bool:
    quarters = Fraction(4 * pattern.meter.beats, pattern.meter.unit * pattern.columns)
    return quarters.denominator % 3 == 0


def _strike(stroke: Stroke, beat: Fraction, hand: Hand, at: tuple[int, Span]) -> ExpectedStrike:
    place, span = at
    assert span.chord is not None
    assert span.bass is not None
    if stroke == "x" and hand == "right":
        return ExpectedStrike(beat, hand, span.chord.tones, "chord", place)
    if stroke == "x":
        return ExpectedStrike(beat, hand, frozenset({span.bass}), "bass", place)
    root = span.chord.root.pc
    if stroke == "8":
        tone = span.bass if hand == "left" else root
    else:
        degree = span.chord.degree(int(stroke))
        tone = root if degree is None else degree
    return ExpectedStrike(beat, hand, frozenset({tone}), "tone", place)
