"""Which bars were played much more slowly than those around them?

A hard bar is played slowly, and then the song goes on as before. That is said, and the strikes
in it are held against the tempo that it has. Behind a bar of a closing ritard it goes on more
slowly still, and behind one of a section with a tempo of its own as slowly. Common practice, no
source.
"""

from collections.abc import Sequence
from itertools import pairwise
from statistics import median
from typing import Final

from evaluator.judge.layout import HALT, LaidBar

AROUND: Final = 4
"""Bars on either side by which the tempo is known."""
MUCH: Final = 1.35
"""A bar that takes so many times as long stands out. Chosen on tuning seeds of takes with one
such bar or several, between bars of hands that search and bars at three quarters of the tempo."""


def hard_bars(laid: Sequence[LaidBar]) -> tuple[int, ...]:
    """Their indices, in the order of playing."""
    # How long the last bar was, nothing behind it tells.
    paces = [_pace(bar) for bar in laid[:-1]]
    found = []
    for at, here in enumerate(paces):
        before, behind = paces[max(at - AROUND, 0) : at], paces[at + 1 : at + 1 + AROUND]
        sides = [[pace for pace in side if pace is not None] for side in (before, behind)]
        if here is not None and all(sides) and here > MUCH * max(map(median, sides)):
            found.append(at)
    return tuple(found)


def hard_places(laid: Sequence[LaidBar], hard: Sequence[int]) -> set[float]:
    """Where passages of hard bars begin and end."""
    return {
        bar.place for before, bar in pairwise(laid) if (before.index in hard) != (bar.index in hard)
    }


def _pace(bar: LaidBar) -> float | None:
    """Seconds of the take for a written second; None where a bar does not tell it."""
    told = bar.followed and not bar.cut_short and bar.played.pause < HALT
    return bar.pace if told else None
