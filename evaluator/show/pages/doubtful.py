"""Which bars of a draft are to be looked at first, and where are they to be heard?"""

from dataclasses import dataclass

from evaluator.draft import Draft
from evaluator.draft.own_take import is_the_same
from evaluator.grading import Graded


@dataclass(frozen=True, slots=True)
class DoubtfulBar:
    """A bar that is not sure."""

    number: int
    section: str
    text: str
    """As it is drafted."""
    at: float
    """Seconds of the take."""
    doubts: tuple[str, ...]
    wanted: int
    """Index of the chart's bar."""
    played: int
    """Number of the played bar, from 1."""


def doubtful_bars(graded: Graded, draft: Draft) -> tuple[DoubtfulBar, ...]:
    """The bars of a draft that are doubted, in their order, as the take was followed to them."""
    found = []
    graph, played = graded.song.graph, graded.path.bars
    for one in draft.bars():
        if not one.doubts or one.start is None or not played:
            continue
        start = one.start
        place = min(range(len(played)), key=lambda k: abs(played[k].start - start))
        bar = graph.bars[played[place].bar]
        if is_the_same(start, played[place].start, bar.seconds):
            found.append(
                DoubtfulBar(
                    bar.number, bar.section, bar.text, start, one.doubts, bar.index, place + 1
                )
            )
    return tuple(found)
