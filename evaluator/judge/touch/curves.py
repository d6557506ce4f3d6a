"""What mark does a measured touch get?

Each aspect has its curve: full marks up to what is heard as right, then falling as a bell
does, 100 exp(-((value - free) / width)^2 / 2), to 61 at one width beyond and to 14 at two.
The one that counts, the evenness, falls as 100 / (1 + value / width): teachers hear the first
steps astray most, and after many of them hardly one more. On 59 takes rated by four piano
teachers (five pieces of the Expert-Novice data, Jiang, ISMIR 2023) it alone ranks the takes of
a piece as they do, nearly as well as one of them does; steadiness, the balance of the hands
and the small unevenness that it lets pass add nothing on a piece left out (`tests.bench.rated`).
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


@dataclass(frozen=True, slots=True)
class Halving:
    width: float
    """Here, 50 of 100; twice as far, 33."""

    def mark(self, value: float) -> float:
        """0 to 100."""
        return 100.0 / (1.0 + max(0.0, value) / self.width)


HALVING: Final = Halving(6.0)
CURVES: Final[Mapping[TouchAspect, Curve | Halving]] = {
    # percent of the time lost by hesitations
    "hesitation": Curve(0.0, 4.0),
    # percent by which the tempo over eight beats wanders; a change of tempo is heard from
    # about 2 % on (Drake and Botte 1993, from memory)
    "steadiness": Curve(2.0, 2.5),
    # percent of the steps that are hesitations, or too short by a quarter of a beat or more
    "evenness": HALVING,
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

COUNTED: Final[tuple[TouchAspect, ...]] = ("evenness",)
"""The aspects in the mark. The others have a mark of their own and are said: rubato is music, a
slower tempo is no mistake, a recording tells little of the pedal, and what balance, lengths
and ending are wanted is the teacher's to say."""

RULES: Final[Mapping[TouchAspect, tuple[Countable, ...]]] = {
    "hesitation": ("halt",),
    "evenness": ("halt",),
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
