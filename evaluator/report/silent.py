"""Where does a hand not play at all?

A student who has learnt a verse with one hand lets the other rest in it. That is one thing to
learn, and not as many as there are chords and strikes. Common practice of teaching, no source.
"""

from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import HANDS, Hand
from evaluator.judge.verdict import Judgement
from evaluator.report.faults import Trouble, is_silent

FEWEST: Final = 2
"""So many bars are a rest; one is a bar that was not played."""
PARTS: Final[dict[Hand, str]] = {"left": "bass", "right": "chord"}
"""What is not there where a hand is silent."""


@dataclass(frozen=True, slots=True)
class Silent:
    """Bars in which a hand does not play at all."""

    hand: Hand
    bars: frozenset[int]
    """Indices into `BarGraph.bars`."""

    def explains(self, trouble: Trouble) -> bool:
        """Whether a trouble is there because the hand is silent."""
        of_hand = dict(trouble.words).get("hand") == self.hand
        missing = trouble.case.startswith(PARTS[self.hand]) or (
            of_hand and trouble.case == "missed"
        )
        return missing and trouble.bar.index in self.bars


def silent_hands(judgement: Judgement) -> tuple[Silent, ...]:
    """The hands that rest, each with the bars in which they do."""
    found = []
    for hand in HANDS:
        bars = frozenset(one.bar for one in judgement.bars if one.judged and is_silent(one, hand))
        if len(bars) >= FEWEST:
            found.append(Silent(hand, bars))
    return tuple(found)
