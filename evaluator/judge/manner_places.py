"""Where in a bar does each manner of playing strike, and what?

Positions are beats of the bar from 0.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import Bar, ExpectedStrike, Hand
from evaluator.chart.strikes import swung
from evaluator.judge.verdict import Manner

QUARTERS: Final[Mapping[Manner, Fraction]] = {
    "halves": Fraction(2),
    "dotted quarters": Fraction(3, 2),
    "quarters": Fraction(1),
    "eighths": Fraction(1, 2),
    "broken": Fraction(1, 2),
}
"""Quarter notes from strike to strike."""
PLACED: Final[tuple[Manner, ...]] = ("once", *QUARTERS, "after-beats", "off-beats")
"""Manners that say where the strikes come."""
Shape = tuple[int, int, tuple[tuple[int, int], ...], tuple[tuple[int, int], ...]]
"""Meter, beginnings of the harmonies, beginnings of those that are held."""


class Places:
    """Where each manner strikes in the bars of one song; bars alike are worked out once."""

    def __init__(self, swing: Fraction) -> None:
        self._swing = swing
        self._known: dict[Shape, dict[Manner, tuple[float, ...]]] = {}
        self._own: dict[tuple[int, Hand], tuple[float, ...]] = {}

    def of(self, bar: Bar) -> Mapping[Manner, tuple[float, ...]]:
        """The beats of every manner in which the bar can be played."""
        shape = _shape(bar)
        if shape not in self._known:
            beats = {manner: beats_of(bar, manner, self._swing) for manner in PLACED}
            self._known[shape] = {
                manner: tuple(float(beat) for beat in found)
                for manner, found in beats.items()
                if found is not None
            }
        return self._known[shape]

    def pattern(self, bar: Bar, hand: Hand) -> tuple[float, ...]:
        """The beats at which the pattern has a strike of this hand."""
        key = (bar.index, hand)
        if key not in self._own:
            own = (float(strike.beat) for strike in bar.strikes if strike.hand == hand)
            self._own[key] = tuple(own)
        return self._own[key]


def _shape(bar: Bar) -> Shape:
    new = [span.beat for at, span in enumerate(bar.spans) if _is_new(bar, at)]
    held = [span.beat for span in bar.spans if span.held]
    return (
        bar.meter.beats,
        bar.meter.unit,
        tuple((beat.numerator, beat.denominator) for beat in new),
        tuple((beat.numerator, beat.denominator) for beat in held),
    )


def as_played(bar: Bar, hands: Mapping[Hand, Manner], swing: Fraction) -> Bar:
    """The bar with the strikes of each hand's manner in place of the pattern's."""
    other = {hand for hand, manner in hands.items() if manner != "pattern"}
    if not other:
        return bar
    strikes = [strike for strike in bar.strikes if strike.hand not in other]
    for hand in other:
        strikes += _strikes(bar, hand, hands[hand], swing)
    strikes.sort(key=lambda strike: (strike.beat, strike.hand))
    return replace(bar, strikes=tuple(strikes))


def rhythm_of(bar: Bar, hand: Hand, swing: Fraction) -> Manner | None:
    """The manner whose strikes fall where the pattern has those of the hand; None if it is none of
    them."""
    own = [strike for strike in bar.strikes if strike.hand == hand]
    if not own:
        return None
    beats = sorted({strike.beat for strike in own})
    tones = hand == "right" and bool(own) and all(strike.part == "tone" for strike in own)
    for manner in PLACED:
        if (manner == "broken" or not tones) and beats_of(bar, manner, swing) == beats:
            return manner
    return None


def _strikes(bar: Bar, hand: Hand, manner: Manner, swing: Fraction) -> list[ExpectedStrike]:
    """What one hand strikes in a manner; nothing that is wanted where it plays freely."""
    found: list[ExpectedStrike] = []
    begun: set[int] = set()
    for beat in beats_of(bar, manner, swing) or ():
        place = max(at for at, span in enumerate(bar.spans) if span.beat <= beat)
        span = bar.spans[place]
        if span.chord is None or span.bass is None:
            continue
        if hand == "right" and manner != "broken":
            found.append(ExpectedStrike(beat, hand, span.chord.tones, "chord", place))
        elif hand == "left" and place not in begun:
            found.append(ExpectedStrike(beat, hand, frozenset({span.bass}), "bass", place))
        else:
            found.append(ExpectedStrike(beat, hand, span.allowed, "tone", place))
        begun.add(place)
    return found


def beats_of(bar: Bar, manner: Manner, swing: Fraction) -> list[Fraction] | None:
    """The beats at which a hand strikes that plays in this manner; None if the bar cannot be
    played in it, or the chart wants nothing there."""
    begins = {span.beat for at, span in enumerate(bar.spans) if _is_new(bar, at)}
    if manner == "once":
        return sorted(begins)
    if manner == "after-beats":
        return [Fraction(beat) for beat in range(1, bar.meter.beats)]
    if manner == "off-beats":
        half = Fraction(1, 2)
        return [_with_swing(beat + half, bar, swing) for beat in range(bar.meter.beats)]
    if manner not in QUARTERS:
        return None
    step = QUARTERS[manner] * bar.meter.unit / 4
    compound = bar.meter.unit == 8 and bar.meter.beats % 3 == 0
    odd = ("halves", "quarters") if compound else ("dotted quarters",)
    if manner in odd or step > bar.beats:
        return None
    for turn in range(math.ceil(bar.beats / step)):
        begins.add(_with_swing(turn * step, bar, swing))
    held = [span for span in bar.spans if span.held]
    return sorted(b for b in begins if not any(s.beat < b < s.beat + s.beats for s in held))


def _with_swing(beat: Fraction, bar: Bar, swing: Fraction) -> Fraction:
    unit = bar.meter.unit
    return swung(beat * 4 / unit, swing) * unit / 4 if swing != 1 and unit <= 4 else beat


def _is_new(bar: Bar, at: int) -> bool:
    """Whether another harmony begins with a span."""
    spans, span = bar.spans, bar.spans[at]
    if span.chord is None:
        return False
    return at == 0 or (span.chord, span.bass) != (spans[at - 1].chord, spans[at - 1].bass)
