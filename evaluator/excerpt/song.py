"""What of a song is a take to be graded on?

A chart is prepared once for all its takes: the whole song or a passage of it, with the hands
that are judged.
"""

from dataclasses import dataclass, replace

from evaluator.chart.graph import BarGraph, Hand
from evaluator.excerpt.one_hand import for_hand
from evaluator.excerpt.passage import passage
from evaluator.excerpt.rounds import excerpt, kept_of


@dataclass(frozen=True, slots=True)
class CutFrom:
    """The song that a passage was taken from."""

    graph: BarGraph
    kept: tuple[int, ...]
    """Its bars as the song counts them."""


@dataclass(frozen=True, slots=True)
class Song:
    """A chart, and what of it is to be played and graded."""

    graph: BarGraph
    """What is to be played: the song, or a passage of it, with the hands that are judged."""
    file: str
    hand: Hand | None = None
    """The hand that alone is to be judged; None for both."""
    channel: int | None = None
    """The channel that alone is to be read, from 0; None for the player's own."""
    cut_from: CutFrom | None = None
    """The song, where `graph` is a passage of it, to be played as often as one likes."""

    @property
    def whole(self) -> BarGraph:
        """The song that the chart writes."""
        return self.graph if self.cut_from is None else self.cut_from.graph

    def passage(self, *, bars: str | None, section: str | None) -> "Song":
        """A passage of it, to be played round and round. Raises `UsageError`."""
        if bars is None and section is None:
            return self
        chosen = passage(self.graph, bars=bars, section=section)
        cut_from = CutFrom(self.graph, kept_of(self.graph, chosen))
        return replace(self, graph=excerpt(self.graph, chosen), cut_from=cut_from)

    def one_handed(self, hand: Hand) -> "Song":
        """The same with one hand that alone is judged. Raises `UsageError`."""
        whole = self.cut_from
        if whole is not None:
            whole = replace(whole, graph=for_hand(whole.graph, hand))
        return replace(self, graph=for_hand(self.graph, hand), hand=hand, cut_from=whole)
