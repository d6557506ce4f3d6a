"""Was a neighbouring key only brushed?

A finger that lands between two keys sounds the neighbour of the right one: within a
whole tone of it, struck together with it, clearly softer than the rest of the strike or
let go at once. Common practice, no source; the limits are this project's.
"""

from collections.abc import Sequence, Sized
from statistics import median

from evaluator.chart.graph import Span
from evaluator.judge.hands import HandStrike

BESIDE = 2
"""Semitones."""
SOFTER = 0.7
"""Loudness against the strike's other notes."""
TOUCHED = 0.06
"""Seconds; a key that is let go so soon was no more than touched, however short the others."""
SHORT = 0.12
"""Seconds; the others were held for longer."""

SLIP_COST = 0.05
"""Share that a brushed key takes from a chord or a bass,"""
MOST_SLIPS = 2
"""and how many of them cost anything in one span."""


def left_by(slips: Sized) -> float:
    """What brushed keys leave of the score of a span, 0 to 1."""
    return 1.0 - SLIP_COST * min(MOST_SLIPS, len(slips))


def is_brushed(strike: HandStrike, place: int, span: Span) -> bool:
    """Whether a note of a strike, `strike.pitches[place]`, is a neighbouring key brushed by
    mistake and no tone of its own."""
    pitch, allowed = strike.pitches[place], span.allowed
    if pitch % 12 in allowed or len(strike.pitches) < 2:
        return False
    others = [other for other in range(len(strike.pitches)) if other != place]
    beside = any(
        abs(strike.pitches[other] - pitch) <= BESIDE and strike.pitches[other] % 12 in allowed
        for other in others
    )
    return beside and is_light(strike, place, others)


def is_light(strike: HandStrike, place: int, others: Sequence[int]) -> bool:
    """Whether a note is clearly softer than others of its strike, or shorter."""
    soft = strike.velocities[place] <= SOFTER * median(strike.velocities[o] for o in others)
    held = strike.ends[place] - strike.time
    return soft or (
        held < SHORT and median(strike.ends[o] - strike.time for o in others) > 1.5 * held
    )
