"""What mark does a measured touch get?

Each aspect has its curve: full marks up to what is heard as right, then falling as a bell
does, 100 exp(-((value - free) / width)^2 / 2), to 61 at one width beyond and to 14 at two.
The widths, and which aspects count, were chosen on takes rated by four piano teachers
(36 takes of three pieces of the Expert-Novice data, Jiang, ISMIR 2023): `tests.bench.rated`
leaves out one piece after the other and shows what holds on the piece left out.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evaluator.judge.rubric import Countable
from evaluator.judge.verdict import TouchAspect


@dataclass(frozen=True, slots=True)
class Curve:
    free: float
    """Up to here, full marks."""
    width: float
    """So much further, 61 of 100."""

    def mark(self, value: float) -> float:
        """0 to 100."""
        beyond = max(0.0, value - self.free) / self.width
        return 100.0 * math.exp(-0.5 * beyond * beyond)


CURVES: Final[Mapping[TouchAspect, Curve]] = {
    # percent of the time lost by hesitations
    "hesitation": Curve(0.0, 4.0),
    # percent by which the tempo over eight beats wanders; a change of tempo is heard from
    # about 2 % on (Drake and Botte 1993, from memory)
    "steadiness": Curve(2.0, 2.5),
    # percent of a beat by which steps are uneven; 2.5 % is just heard (Friberg and Sundberg
    # 1995, JASA 98(5))
    "evenness": Curve(2.5, 5.0),
    # velocities by which the left hand is above its place, `PLACE`
    "balance": Curve(0.0, 7.5),
    # percent off the chart's tempo either way; 8 % is the usual tolerance (mir_eval.tempo)
    "tempo": Curve(8.0, 25.0),
    # ms between the hands; half of concert pianists' pairs lie within 13 ms, nine tenths
    # within 51 ms (150 performances of the ASAP data set)
    "together": Curve(15.0, 30.0),
    # velocities from one strike of a hand to its next
    "loudness": Curve(6.0, 8.0),
    # percent of the time to the next strike by which the notes are too short or too long
    "length": Curve(0.0, 30.0),
    # percent of the time that is blurred by the pedal
    "blur": Curve(1.0, 6.0),
    # percent of the bars without the pedal, where it is taken as a rule
    "pedal": Curve(0.0, 20.0),
    # percent by which the closing bars hurry, or slow down beyond `RITARD`
    "ending": Curve(3.0, 15.0),
}

COUNTED: Final[tuple[TouchAspect, ...]] = ("hesitation", "steadiness", "evenness", "balance")
"""The aspects in the mark, each with the same weight; the balance only where the right hand
has a melody, as it had in the takes on which this was chosen. The others have a mark of
their own and are said: a slower tempo is no mistake, a recording tells little of the pedal,
and what lengths and what ending are wanted no chart says."""

RULES: Final[Mapping[TouchAspect, tuple[Countable, ...]]] = {
    "hesitation": ("halt",),
    "evenness": ("early_strike", "late_strike"),
}
"""What a rubric must hold against a take for an aspect to count."""
PLACE: Final[Mapping[bool, float]] = {True: -17.0, False: 4.0}
"""Velocities of the left hand above the right that are in place: with a melody in the right
hand, and with chords in it."""
LENGTHS: Final = (50.0, 115.0)
"""Percent of the time to the next strike between which a note is neither clipped nor held over."""
RITARD: Final = 40.0
"""Percent by which the closing bars may be slower."""
SAID: Final = 80.0
"""An aspect with a lower mark matters, and is said."""
