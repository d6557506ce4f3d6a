"""What is expected where in a bar?

Every bar is divided into positions: four a beat, as the song swings, the chart's own pattern
columns and chord changes, and triplets where the chart uses them. What a position expects is
the hands that the pattern has there or, for whoever plays in a rhythm of their own, what the
metre makes likely.

Positions stand at beats from the bar line; where the bars themselves lie is `grid.py`.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand, Meter, Span

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

AS_WRITTEN, FREELY = range(2)
"""Manners of playing a chart with patterns: in its pattern, or in any other rhythm."""

EXPECTS_NOTHING, EXPECTS_LEFT, EXPECTS_RIGHT, EXPECTS_BOTH = range(4)
DOWNBEAT, CHANGE, BEAT, HALF_BEAT, THIRD_BEAT, BETWEEN = range(4, 10)
KINDS = 10
"""What a position expects: hands where the chart has a pattern, metrical weight where it
has none."""

NONE: frozenset[int] = frozenset()

WIDE = 3
"""Semitones."""
BEFORE = Fraction(1, 2)
"""Beats by which ornaments may come before their note."""

WANTED = (EXPECTS_LEFT, EXPECTS_RIGHT, EXPECTS_BOTH, DOWNBEAT, CHANGE)
"""Those at which a strike is wanted, by pattern or by metre."""


@dataclass(frozen=True, slots=True)
class Harmony:
    """What may sound at a position."""

    span: Span
    low: int | None
    """Pitch class of the lowest note wanted there; None where the chart wants none."""
    written: frozenset[int] = frozenset()
    """Pitch classes of the notes written out there; none where the chart has none."""
    manner: int = AS_WRITTEN
    """In which it is played there."""
    around: frozenset[int] = frozenset()
    """Pitch classes of the ornaments that may be played there, and of what is rolled."""

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for what sounds alike."""
        span = self.span
        said = (self.low, self.written, self.manner, self.around)
        return (span.chord, span.bass, span.colours, *said)


@dataclass(frozen=True, slots=True)
class Positions:
    """The P positions of a bar, and of every bar that sounds like it."""

    beat: Floats
    """(P,) beats from the bar line."""
    kind: Ints
    """(P,) what each expects, one of the constants above."""
    sign: Ints
    """(P,) number in the bar of the sign that holds there, or of the notes written out there."""
    harmony: Ints
    """(P,) number of the harmony among those of the song."""
    entry: int
    """The first at which a strike is wanted, or else the bar line."""


Harmonies = dict[tuple[object, ...], tuple[int, Harmony]]
"""The harmonies of a song met so far, each with its number, by what tells it from the others."""


def positions_of(
    bar: Bar, graph: BarGraph, manner: int, harmonies: Harmonies, *, thirds: bool
) -> Positions:
    """The positions of a bar of the song that is played in this manner, `AS_WRITTEN` or `FREELY`.

    `thirds`: three places a beat as well for whoever plays freely. Harmonies that are new join
    `harmonies`.
    """
    rows = list(_rows(bar, graph, manner, harmonies, thirds=thirds))
    wanted = [number for number, (_, kind, _, _) in enumerate(rows) if kind in WANTED]
    beats, kinds, signs, numbers = zip(*rows, strict=True)
    return Positions(
        beat=np.array(beats),
        kind=np.array(kinds, np.intp),
        sign=np.array(signs, np.intp),
        harmony=np.array(numbers, np.intp),
        entry=wanted[0] if wanted else 0,
    )


def _rows(
    bar: Bar, graph: BarGraph, manner: int, harmonies: Harmonies, *, thirds: bool
) -> Iterator[tuple[float, int, int, int]]:
    """Beat, kind, sign and harmony of each position."""
    patterned = (manner == AS_WRITTEN and not bar.free) or bool(bar.exact)
    struck: dict[float, list[ExpectedStrike]] = {}
    for strike in bar.strikes:
        struck.setdefault(float(strike.beat), []).append(strike)
    begins = [float(span.beat) for span in bar.spans]
    adorned = bool(bar.held_ornaments) or any(strike.adorned for strike in bar.strikes)
    number_of: dict[object, int] = {}
    places = sorted(_places(bar, graph, manner, thirds=thirds).items())
    for number, (at, (beat, weight)) in enumerate(places):
        place, here = max(bisect_right(begins, at) - 1, 0), struck.get(at, ())
        span = bar.spans[place]
        if patterned:
            kind, low = _hands_kind({strike.hand for strike in here}), _single_low(here)
        else:
            changes = weight != DOWNBEAT and at in begins
            kind = BETWEEN if span.chord is None else CHANGE if changes else weight
            low = span.bass
        notes = _notes(strike for strike in here if strike.hand in bar.exact) if bar.exact else NONE
        # Written notes are not the same again as those before, whatever the sign above them.
        sign = len(bar.spans) + number if notes else place
        said = (place, low, notes, _around(bar, beat) if adorned else NONE)
        if said not in number_of:
            harmony = Harmony(span, low, notes, manner, said[-1])
            number_of[said] = harmonies.setdefault(harmony.key, (len(harmonies), harmony))[0]
        yield at, kind, sign, number_of[said]


def _single_low(strikes: Iterable[ExpectedStrike]) -> int | None:
    """The pitch class that the left hand strikes alone, if it does."""
    low = _notes(strike for strike in strikes if strike.hand == "left")
    return next(iter(low)) if len(low) == 1 else None


def _around(bar: Bar, beat: Fraction) -> frozenset[int]:
    """Pitch classes of the ornaments and rolled chords of written notes about a beat."""
    keys: set[int] = set()
    for strike in bar.strikes:
        lasts = max(strike.beats, BEFORE) if strike.around else BEFORE
        if strike.adorned and strike.beat - BEFORE <= beat < strike.beat + lasts:
            keys |= set(strike.pitches)
            keys |= {key for key in strike.around if not _is_wide(key, strike)}
    for held in bar.held_ornaments:
        keys |= held.around if beat < held.until else frozenset()
    return frozenset(key % 12 for key in keys)


def _is_wide(key: int, strike: ExpectedStrike) -> bool:
    """Whether a key is an augmented second from its note: rare, and what misleads."""
    return any(abs(key - pitch) == WIDE for pitch in strike.pitches)


def _notes(strikes: Iterable[ExpectedStrike]) -> frozenset[int]:
    """Their pitch classes."""
    return frozenset().union(*(strike.pitch_classes for strike in strikes))


Places = dict[float, tuple[Fraction, int]]
"""Beats of a bar with what the metre makes of each, by their nearest number: fractions themselves
are slow to look up."""


def _places(bar: Bar, graph: BarGraph, manner: int, *, thirds: bool) -> Places:
    """Where in a bar a strike may fall: four places a beat, and wherever the chart has one."""
    freely = manner == FREELY
    struck = {float(strike.beat): strike.beat for strike in bar.strikes}
    in_three = any(beat.denominator % 3 == 0 for beat in struck.values())
    thirds = (thirds and freely) or graph.swing != 1 or in_three
    places = dict(_even(bar.meter, graph.swing, thirds))
    if freely:  # who swings nothing where the chart does strikes between its places
        places |= _even(bar.meter, Fraction(1), False, graph.swing)
    for at, beat in (*struck.items(), *((float(span.beat), span.beat) for span in bar.spans)):
        if at not in places:
            places[at] = (beat, _weight(beat, graph.swing))
    return places


@lru_cache(maxsize=64)
def _even(meter: Meter, swing: Fraction, thirds: bool, heard: Fraction | None = None) -> Places:
    """Four places a beat, as the song swings, and three more where wanted.

    `heard`: the swing by which they are weighed, if it is another.
    """
    beats = [Fraction(quarter, 4) for quarter in range(4 * meter.beats)]
    if swing != 1 and meter.unit <= 4:
        beats = [_swung(beat, swing, meter.unit) for beat in beats]
    beats += [Fraction(third, 3) for third in range(3 * meter.beats) if thirds]
    return {float(beat): (beat, _weight(beat, heard or swing)) for beat in beats}


def _swung(beat: Fraction, ratio: Fraction, unit: int) -> Fraction:
    """Place of a beat when the first half of each quarter note lasts ratio times the second."""
    quarter = Fraction(unit, 4)
    whole, part = divmod(beat / quarter, 1)
    turn = ratio / (1 + ratio)
    half = Fraction(1, 2)
    swung = part * 2 * turn if part <= half else turn + (part - half) * 2 * (1 - turn)
    return (whole + swung) * quarter


def _hands_kind(hands: set[Hand]) -> int:
    if len(hands) == 2:
        return EXPECTS_BOTH
    if not hands:
        return EXPECTS_NOTHING
    return EXPECTS_LEFT if "left" in hands else EXPECTS_RIGHT


def _weight(beat: Fraction, swing: Fraction) -> int:
    """What the metre makes of a place."""
    if not beat:
        return DOWNBEAT
    if swing != 1 and beat % 1 == swing / (1 + swing):
        return HALF_BEAT
    if swing != 1 and beat.denominator == 2:
        return THIRD_BEAT
    return {1: BEAT, 2: HALF_BEAT, 3: THIRD_BEAT}.get(beat.denominator, BETWEEN)
