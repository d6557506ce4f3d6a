"""Where in the beat do the off-beats come, in the chart and in the take?

In a swung chart they are moved to the take's own ratio, found once (1:1 to 3.5:1; Friberg
and Sundstroem 2002, Music Perception 19(3)). In a straight one they are where they are
written, unless most of them come plainly late and alike: then the take is swung, which is
one thing to say and no late strike.

Units: places in the beat, 0 to 1; beats.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median, quantiles
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.layout import Due, LaidBar

LEAST_SWING, MOST_SWING = 0.5, 3.5 / 4.5
"""Place of the off-beat in the beat at 1:1 and at 3.5:1."""
FEW: Final = 6
"""Off-beats that show a habit."""
SWUNG: Final = 0.57
"""A straight chart is swung from here on, 4:3: less is taken for straight eighths;"""
ALIKE: Final = 0.12
"""if the middle half of its off-beats lies so near together."""


@dataclass(slots=True)
class Feel:
    """Where the eighths between the beats fall: by the chart, and by this player as far as is
    known.

    Places are shares of the beat: 0.5 is straight, 2/3 is swing of 2:1.
    """

    chart: float
    """Place of the off-beat by the chart."""
    off_beats: tuple[bool, ...]
    """Which of the due strikes are off-beats."""
    take: float
    """Place of the off-beat in the take."""
    heard: bool = False
    """Whether enough of them were heard to tell."""

    def listen(self, found: Sequence[float]) -> None:
        """Learn where the off-beats of the take lie; `found` are their places in the beat, one for
        each that was heard. Too few of them change nothing."""
        if len(found) < FEW:
            return
        self.heard = True
        usual = median(found)
        if self.chart == LEAST_SWING:
            first, _, third = quantiles(found, n=4)
            usual = usual if usual >= SWUNG and third - first <= ALIKE else LEAST_SWING
        self.take = min(max(usual, LEAST_SWING), MOST_SWING)

    def shift(self, index: int, one: Due) -> float:
        """Seconds by which a due strike is expected later than the chart has it, by the feel of
        the take."""
        return one.beat_seconds * (self.take - self.chart) if self.off_beats[index] else 0.0

    @property
    def swing(self) -> float | None:
        """Long to short eighth as played; None where that was not heard."""
        return self.take / (1.0 - self.take) if self.heard else None


def feel_of(graph: BarGraph, laid: Sequence[LaidBar], due: Sequence[Due]) -> Feel:
    """The feel of the chart, before the take is heard."""
    written = float(graph.swing / (1 + graph.swing))
    straight = graph.swing == 1
    off_beats = tuple(one.off_beat or (straight and _is_half(one, laid)) for one in due)
    return Feel(written, off_beats, written)


def _is_half(one: Due, laid: Sequence[LaidBar]) -> bool:
    """Whether a strike is an eighth off the beat; in eighth-note meters the eighth is the beat."""
    unit = laid[one.played].bar.meter.unit
    return unit <= 4 and (one.strike.beat * 4 / unit) % 1 == Fraction(1, 2)
