"""What is to be followed: the strikes of one take, through one song laid out in several ways."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from evaluator.chart.graph import BarGraph
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.grid import Grid, lay_out
from evaluator.follow.one_way import follow_in
from evaluator.follow.path import Path, Rhythm
from evaluator.follow.positions import Floats
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

SAMPLE = 600
"""Strikes of a longer take (this is two and a half minutes of eighths at 120) on which ways are
compared; the whole of it is then followed in the best of them alone, beside its own."""


@dataclass(frozen=True, slots=True)
class Playing:
    """A take, and the song through which it is followed."""

    graph: BarGraph
    strikes: Sequence[Strike]
    gaps: Sequence[Gap] = ()
    """When nothing could be heard."""
    _grids: dict[Rhythm, Grid] = field(default_factory=dict, repr=False)

    def grid(self, rhythm: Rhythm = "chart") -> Grid:
        """The song as it is laid out for a rhythm."""
        if rhythm not in self._grids:
            self._grids[rhythm] = lay_out(self.graph, rhythm)
        return self._grids[rhythm]

    @property
    def written_out(self) -> bool:
        """Whether the chart has notes written out anywhere."""
        return self.grid().written_out

    @property
    def is_long(self) -> bool:
        """Whether other ways are compared on the beginning alone."""
        return len(self.strikes) > SAMPLE

    def beginning(self) -> "Playing":
        """As much of it as ways are compared on."""
        return self.only(0, SAMPLE)

    def only(self, first: int, until: int | None = None) -> "Playing":
        """What was played from one strike on, and before another."""
        return replace(self, strikes=self.strikes[first:until])

    def way(
        self,
        transposed: int = 0,
        rhythm: Rhythm = "chart",
        *,
        tempi: Floats = TEMPI,
        costs: Costs | None = None,
    ) -> Path:
        """The path in that key, with the song laid out for that rhythm (`follow_in`)."""
        grid = self.grid(rhythm)
        return follow_in(grid, self.strikes, transposed, self.gaps, tempi, costs=costs)
