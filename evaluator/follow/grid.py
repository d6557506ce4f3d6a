"""Which places of the song can a strike belong to?

The bars of a `BarGraph` are laid out on one line of time at the written tempo, and every
bar is divided into positions: four a beat, the chart's own pattern columns and chord
changes, and triplets where the chart uses them. The written order is contiguous, so
playing onward is moving along the line; `or` lines stand apart behind it and are
entered and left like any other bar that may legally follow.

All arrays are read-only. P positions, N bars, C harmonies (distinct chord, colours, bass).
Unit: `x` and lengths are seconds at the written tempo ("written seconds").
"""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from evaluator.chart.graph import Bar, BarGraph, Span

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

APART = 1e5
"""Written seconds between the written order and each line that stands apart: no move
along the line of time can bridge it."""

EXPECTS_NOTHING, EXPECTS_LEFT, EXPECTS_RIGHT, EXPECTS_BOTH = range(4)
DOWNBEAT, CHANGE, BEAT, HALF_BEAT, BETWEEN = range(4, 9)
KINDS = 9
"""What a position expects: hands where the chart has a pattern, metrical weight where it
has none."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """The positions of a song and what each expects."""

    graph: BarGraph
    x: Floats
    """(P,) place on the line of time."""
    beat: Floats
    """(P,) beats from the bar line."""
    bar: Ints
    """(P,) index of the bar."""
    harmony: Ints
    """(P,) index of the harmony."""
    kind: Ints
    """(P,) what the position expects, one of the constants above."""
    wanted_before: Floats
    """(P,) expected strikes (either hand or both) on the line before the position."""
    wanted_through: Floats
    """(P,) the same with the position's own."""
    ahead: Ints
    """(P, A) the next positions at which a strike would be natural, nearest first."""
    bar_x: Floats
    """(N,) place of the bar line."""
    bar_length: Floats
    """(N,) written seconds."""
    first: Ints
    """(N,) position of the bar line."""
    entry: Ints
    """(N,) first position of the bar at which a strike is wanted."""
    harmonies: tuple[Span, ...]
    """(C,) one span for each harmony."""


AHEAD = 4


def lay_out(graph: BarGraph) -> Grid:
    """Positions of a song."""
    order = list(graph.written)
    apart = [bar.index for bar in graph.bars if bar.index not in set(order)]
    count = len(graph.bars)
    bar_x, length = np.zeros(count), np.zeros(count)
    first, entry = np.zeros(count, np.intp), np.zeros(count, np.intp)
    rows: list[tuple[float, float, int, int, int]] = []
    harmonies: dict[tuple[object, ...], int] = {}
    spans: list[Span] = []
    shared: dict[tuple[object, ...], list[tuple[float, int, int]]] = {}
    x = 0.0
    for place, index in enumerate(order + apart):
        bar = graph.bars[index]
        if place >= len(order) and (place == len(order) or not _continues(graph, index)):
            x += APART
        bar_x[index], length[index] = x, bar.seconds
        first[index] = len(rows)
        alike = (bar.spans, bar.strikes, bar.meter)
        if alike not in shared:
            shared[alike] = _positions(bar, graph, harmonies, spans)
        for beat, harmony, kind in shared[alike]:
            rows.append((x + beat * bar.seconds_per_beat, beat, index, harmony, kind))
        wanted = [row for row, (_, _, kind) in enumerate(shared[alike]) if kind in _WANTED]
        entry[index] = first[index] + (wanted[0] if wanted else 0)
        x += bar.seconds
    kinds = np.array([row[4] for row in rows], np.intp)
    wants = _WANTED_SHARE[kinds]
    through = np.cumsum(wants)
    return Grid(
        graph=graph,
        x=np.array([row[0] for row in rows]),
        beat=np.array([row[1] for row in rows]),
        bar=np.array([row[2] for row in rows], np.intp),
        harmony=np.array([row[3] for row in rows], np.intp),
        kind=kinds,
        wanted_before=through - wants,
        wanted_through=through,
        ahead=_ahead(kinds),
        bar_x=bar_x,
        bar_length=length,
        first=first,
        entry=entry,
        harmonies=tuple(spans),
    )


_WANTED_SHARE = np.array([0.0, 1.0, 1.0, 1.0, 0.3, 0.3, 0.0, 0.0, 0.0])
"""How firmly each kind of position wants a strike: a pattern does, a metre only suggests."""
_WANTED = (EXPECTS_LEFT, EXPECTS_RIGHT, EXPECTS_BOTH, DOWNBEAT, CHANGE)


def _continues(graph: BarGraph, index: int) -> bool:
    """Whether a bar standing apart follows the bar before it in its own line."""
    bar, before = graph.bars[index], graph.bars[index - 1]
    return bar.place > 0 and before.alternative == bar.alternative


def _positions(
    bar: Bar, graph: BarGraph, harmonies: dict[tuple[object, ...], int], spans: list[Span]
) -> list[tuple[float, int, int]]:
    """(beat, harmony, kind) of a bar's positions."""
    hands: dict[Fraction, set[str]] = {}
    for strike in bar.strikes:
        hands.setdefault(strike.beat, set()).add(strike.hand)
    beats = {Fraction(quarter, 4) for quarter in range(4 * bar.meter.beats)}
    if graph.swing != 1 and bar.meter.unit <= 4:
        beats = {_swung(beat, graph.swing, bar.meter.unit) for beat in beats}
    if any(beat.denominator % 3 == 0 for beat in hands) or graph.swing != 1:
        beats |= {Fraction(third, 3) for third in range(3 * bar.meter.beats)}
    beats |= set(hands) | {span.beat for span in bar.spans}
    found = []
    changes = {span.beat for span in bar.spans}
    for beat in sorted(beats):
        span = bar.span_at(beat)
        key = (span.chord, span.bass, span.colours)
        if key not in harmonies:
            harmonies[key] = len(spans)
            spans.append(span)
        if graph.has_patterns:
            kind = _hands_kind(hands.get(beat, set()))
        elif span.chord is None:
            kind = BETWEEN
        else:
            kind = _metrical_kind(beat, changes)
        found.append((float(beat), harmonies[key], kind))
    return found


def _swung(beat: Fraction, ratio: Fraction, unit: int) -> Fraction:
    """Place of a beat when the first half of each quarter note lasts ratio times the second."""
    quarter = Fraction(unit, 4)
    whole, part = divmod(beat / quarter, 1)
    turn = ratio / (1 + ratio)
    half = Fraction(1, 2)
    swung = part * 2 * turn if part <= half else turn + (part - half) * 2 * (1 - turn)
    return (whole + swung) * quarter


def _hands_kind(hands: set[str]) -> int:
    if len(hands) == 2:
        return EXPECTS_BOTH
    if not hands:
        return EXPECTS_NOTHING
    return EXPECTS_LEFT if "left" in hands else EXPECTS_RIGHT


def _metrical_kind(beat: Fraction, changes: set[Fraction]) -> int:
    if beat == 0:
        return DOWNBEAT
    if beat in changes:
        return CHANGE
    return {1: BEAT, 2: HALF_BEAT}.get(beat.denominator, BETWEEN)


def _ahead(kinds: Ints) -> Ints:
    """The next `AHEAD` positions at which a strike is natural after each position."""
    natural = np.flatnonzero(np.isin(kinds, (*_WANTED, BEAT)))
    if not len(natural):
        natural = np.arange(len(kinds))
    nxt = np.searchsorted(natural, np.arange(len(kinds)), side="right")
    ahead: Ints = natural[np.minimum(nxt[:, None] + np.arange(AHEAD), len(natural) - 1)]
    return ahead
