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
    """A mark that falls slowly at first, by a bell-shaped curve."""

    free: float
    """Up to here, full marks."""
    width: float
    """So much further, 61 of 100."""

    def mark(self, value: float) -> float:
        """The mark, 0 to 100, for what was measured; it falls as the value grows."""
        beyond = max(0.0, value - self.free) / self.width
        return 100.0 * math.exp(-0.5 * beyond * beyond)


@dataclass(frozen=True, slots=True)
class Halving:
    """A mark that falls at once: to one half, one third, one quarter of 100."""

    width: float
    """Here, 50 of 100; twice as far, 33."""

    def mark(self, value: float) -> float:
        """The mark, 0 to 100, for what was measured; it falls as the value grows."""
        return 100.0 / (1.0 + max(0.0, value) / self.width)


HALVING: Final = Halving(6.0)
CURVES: Final[Mapping[TouchAspect, Curve | Halving]] = {
    # percent of the time lost by hesitations
    "hesitation": Curve(0.0, 1.9),
    # percent by which the tempo over eight beats wanders; a change of tempo is heard from
    # about 2 % on (Drake and Botte 1993, from memory)
    "steadiness": Curve(3.0, 3.0),
    # percent of the steps that are hesitations, or too short by a quarter of a beat or more
    "evenness": HALVING,
    # velocities by which the left hand is louder than `PLACE` above the right
    "balance": Curve(0.0, 7.5),
    # percent off the chart's tempo either way; 8 % is the usual tolerance (mir_eval.tempo)
    "tempo": Curve(8.0, 25.0),
    # ms between the hands; half of concert pianists' pairs lie within 13 ms, nine tenths
    # within 51 ms (150 performances of the ASAP data set)
    "together": Curve(40.0, 30.0),
    # velocities by which the melody varies less than `SHADED`
    "loudness": Curve(0.0, 1.5),
    # percent of the written length by which the notes are too short or too long
    "length": Curve(0.0, 30.0),
    # percent of the time for which a melody is silent between repeated notes; a key has to come up
    # before it goes down again
    "repeats": Curve(20.0, 30.0),
    # percent of the time that is blurred by the pedal
    "blur": Curve(0.5, 2.25),
    # percent of the time with the pedal; how much of it is right nobody can say
    "pedal": Curve(100.0, 1.0),
    # percent by which the closing bars slow down less than `RITARD`
    "ending": Curve(0.0, 3.0),
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
PLACE: Final = 4.0
"""Velocities of the left hand above the right that are in place. From how far on it covers a
melody that is louder than it, teachers do not hear as we measure it (`tests.bench.rated`)."""
SHAPED: Final = 1.0
"""Percent of steps astray below which a tempo that wanders in written notes is rubato."""
SHADED: Final = 9.5
"""Standard deviation of the melody's velocities from which on it rises and falls. With 8.5, from
where it is said, two in three of the takes of which it is said were told so by a teacher."""
LENGTHS: Final = (85.0, 35.0)
"""Percent of its written length: what is held less is cut short; a staccato held more is none."""
RITARD: Final = 9.0
"""Percent by which the closing bars are slower where a ritard is heard."""
SAID: Final = 80.0
"""An aspect with a lower mark matters, and is said."""
