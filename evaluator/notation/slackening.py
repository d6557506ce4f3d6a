"""Where does a score let the time slacken, and where does it take it up again?

The words of ritards and of free time, as they stand above the staves; a chart has a sign
for either at a note. Terms: common practice of notation.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from evaluator.chart.graph import Hand
from evaluator.chart.model import NoteSign
from evaluator.notation.score import Tone

_SLACK: Final = re.compile(
    r"\b(rit|ritard\w*|riten\w*|rall\w*|allarg\w*|slent\w*|calando|morendo|smorz\w*|perdendo\w*"
    r"|ad lib\w*|rubato|cadenza|colla parte|a piacere|senza (misura|tempo)|recit\w*)\b",
    re.I,
)
_IN_TIME: Final = re.compile(r"\b(a tempo|in tempo|tempo (primo|1|i)\b|tempo I°?)", re.I)

Hands = Mapping[Hand, Mapping[int, tuple[Tone, ...]]]


def with_slackening(hands: Hands, measures: Sequence[Sequence[Any]]) -> Hands:
    """The tones of each hand, by bars, with the signs `rit` and `tempo` where the words say so.

    `measures` are the bars of the score, each with its staves.
    """
    found = {hand: dict(bars) for hand, bars in hands.items()}
    for place, staves in enumerate(measures):
        for offset, sign in _words(staves):
            _give(found, place, offset, sign)
    return found


def _words(staves: Sequence[Any]) -> list[tuple[Fraction, NoteSign]]:
    said: list[tuple[Fraction, NoteSign]] = []
    for staff in staves:
        for text in staff.recurse().getElementsByClass(("TextExpression", "TempoIndication")):
            words = str(getattr(text, "content", None) or getattr(text, "text", None) or "")
            offset = Fraction(text.getOffsetInHierarchy(staff))
            if _IN_TIME.search(words):
                said.append((offset, "tempo"))
            elif _SLACK.search(words):
                said.append((offset, "rit"))
    return said


def _give(
    hands: dict[Hand, dict[int, tuple[Tone, ...]]], place: int, offset: Fraction, sign: NoteSign
) -> None:
    """The sign to the first note from there on, in that bar or the next."""
    for bar, first in ((place, offset), (place + 1, Fraction(0))):
        behind = [
            (tone.offset, index, hand)
            for hand, bars in hands.items()
            for index, tone in enumerate(bars.get(bar, ()))
            if tone.struck and tone.offset >= first
        ]
        if behind:
            _, index, hand = min(behind)
            tones = list(hands[hand][bar])
            if sign not in tones[index].signs:
                tones[index] = replace(tones[index], signs=(*tones[index].signs, sign))
            hands[hand][bar] = tuple(tones)
            return
