"""What did each hand strike, counted in beats of the take?"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evaluator.chart.graph import Hand
from evaluator.judge.hands import split_hands
from evaluator.take.model import Seconds, Take
from evaluator.take.strike import OCTAVE, Strike

EARLY = 0.2
"""Beats by which a strike may come before its place."""
_TOGETHER = 0.1
"""Beats within which both hands strike at once."""


@dataclass(frozen=True, slots=True)
class Struck:
    """One hand's strike."""

    hand: Hand
    at: float
    """Beats of the take, from 0."""
    pitches: tuple[int, ...]
    """Keys, from the lowest up."""


@dataclass(frozen=True, slots=True)
class Played:
    """The strikes of both hands in their order."""

    strikes: tuple[Struck, ...]
    times: tuple[float, ...]
    """`at` of each."""

    def between(self, first: float, last: float) -> Sequence[Struck]:
        """Strikes from one beat to before another."""
        return self.strikes[bisect_left(self.times, first) : bisect_left(self.times, last)]

    def during(self, first: int, beats: int) -> Sequence[Struck]:
        """Strikes for a bar or a chord of so many beats from one on, early ones among them."""
        return self.between(first - EARLY, first + beats - EARLY)


def in_beats(take: Take, strikes: Sequence[Strike], beats: Seconds) -> Played:
    """Both hands, on the beats that were found."""
    hands = split_hands(take, strikes, [None] * len(strikes), transposed=0)
    ats = np.interp([one.time for one in hands], beats, np.arange(len(beats)))
    struck = sorted(
        (
            Struck(one.hand, float(at), one.pitches)
            for one, at in zip(hands, ats.tolist(), strict=True)
        ),
        key=lambda one: one.at,
    )
    struck = _with_octaves_in_the_left(struck)
    return Played(tuple(struck), tuple(one.at for one in struck))


def _with_octaves_in_the_left(struck: Sequence[Struck]) -> list[Struck]:
    """An octave over the bass that no right hand reaches, from its own notes, is the left's."""
    found = list(struck)
    for place, one in enumerate(struck):
        pitches = one.pitches
        if one.hand == "left" or len(pitches) < 2 or pitches[1] - pitches[0] <= OCTAVE:
            continue
        for beside in range(max(0, place - 2), min(len(struck), place + 3)):
            bass = struck[beside]
            near = bass.hand == "left" and abs(bass.at - one.at) <= _TOGETHER
            if near and pitches[0] - bass.pitches[0] == OCTAVE:
                found[place] = replace(one, pitches=pitches[1:])
                found[beside] = replace(bass, pitches=tuple(sorted({*bass.pitches, pitches[0]})))
                break
    return found
