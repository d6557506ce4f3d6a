"""How is a long score written in a time that grows with its length only?

The library looks for what is in force at a bar (meter, key) through all the bars before
it, so that the time goes with the square of the bars. The score is written in stretches,
each with one bar more on either side for what leans on its neighbours (ties, warning
accidentals); of these bars nothing is kept, and the measures are joined in one score.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

BARS = 64
"""Of a stretch; the time is much the same from 32 to 128."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars to be written, `first` up to but without `end`, and those written beside them."""

    first: int
    end: int
    written: range

    @property
    def kept(self) -> slice:
        """Which of the written measures stay."""
        return slice(self.first - self.written.start, self.end - self.written.start)


def stretches(count: int, bars: int = BARS) -> Iterator[Stretch]:
    """So many bars in stretches."""
    for first in range(0, count, bars):
        end = min(first + bars, count)
        yield Stretch(first, end, range(max(first - 1, 0), min(end + 1, count)))


def keep(score: Element, stretch: Stretch) -> list[list[Element]]:
    """For each part of the score of a stretch its own measures, with the comment before each."""
    kept = []
    for part in score.iter("part"):
        groups: list[list[Element]] = [[]]
        for element in part:
            groups[-1].append(element)
            if element.tag == "measure":
                groups.append([])
        kept.append([element for group in groups[stretch.kept] for element in group])
    return kept


def put_in(score: Element, parts: list[list[Element]]) -> None:
    """Give the parts of a score these measures for those that it has."""
    for part, measures in zip(score.iter("part"), parts, strict=True):
        part[:] = measures
