"""Is this take one of this song?

Asked of the chords and basses in their order, never of the mark. Of the signs of the chart
along the way that explains a take best, a song played with some wrong chords bears out most,
and another song some, since it has the same key and the same few chords. How many of them
chance would bear out, the take shows itself: as many as there are signs on its way that would
stand as well, had they been drawn from that way at random. What is beyond that is Cohen's
kappa (Educational and Psychological Measurement 20, 1960).

The figures were chosen on 815 invented takes (those of tests/bench/strangers.py and more of
their kind, seeds below 700) and 59 of the tuning half of real accompaniments. With any kappa from
0.4 to 0.44, and two bars a jump or three, nearly as many were told rightly. Of 1800 later ones
(tests/bench/strangers.py, seeds 1 to 90) 620 of 630 other songs are refused with it, and 1169 of
1170 takes of the song are taken for it. With 0.45 hardly more other songs would be refused, and a
take of which every third chord is wrong.
"""

from collections.abc import Sequence

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.costs import Costs
from evaluator.follow.grid import lay_out
from evaluator.follow.hearing import Hearing, lies_above
from evaluator.follow.likeness import has_few_bars
from evaluator.follow.path import Path
from evaluator.follow.positions import Floats
from evaluator.judge.marks import SHORTEST
from evaluator.judge.verdict import BarVerdict, SpanVerdict, Word
from evaluator.take.strike import Strike

BEYOND_CHANCE = 0.4
"""Least kappa of a take of the song: "moderate" agreement begins there (Landis and Koch, The
Measurement of Observer Agreement for Categorical Data, Biometrics 33, 1977)."""
JUMP = 2.0
"""Bars that a jump takes back: it lands where the next ones fit."""
UNDOUBTED = 0.15
"""Misfit, nats a strike, up to which nobody asks what chance would do: where all the chords of a
song sound alike, or only roots are struck, it would do as well. So it would in a few bars."""
AS_WELL = 1.0
"""What is struck under a sign may suit another by so much more, nats, and still bear it out."""

BORNE_OUT: dict[Word, float] = {"right": 1.0, "put right": 0.5, "incomplete": 0.5, "wrong": 0.0}
"""How much of a sign each verdict bears out. What comes after another is put right, or is of a song
that goes twice as fast; what was not played says nothing, since a hand may lie in the lap."""


def is_song(
    graph: BarGraph, strikes: Sequence[Strike], path: Path, sure: Sequence[BarVerdict]
) -> bool:
    """Whether a path is one through its song: `sure` are the bars in which it was followed."""
    jumps = sum(bar.entry == "jump" for bar in path.bars)
    agreed = borne_out(sure) - JUMP * jumps / max(len(sure), SHORTEST)
    doubted = path.misfit > UNDOUBTED and not has_few_bars(graph)
    chance = by_chance(graph, strikes, path) if doubted else 0.0
    return agreed >= chance + BEYOND_CHANCE * (1.0 - chance)


def borne_out(bars: Sequence[BarVerdict]) -> float:
    """Share of the chords and basses, of those that were played, that were the chart's."""
    signs = [sign for bar in bars for part in (bar.chord, bar.bass) for sign in part.spans]
    known = [_share(sign) for sign in signs if sign.word in BORNE_OUT]
    return sum(known) / len(known) if known else 0.0


def _share(sign: SpanVerdict) -> float:
    """Of notes written out, those that are right; else whether the chord or the bass is."""
    return BORNE_OUT[sign.word] if sign.loss is None else sign.score


def by_chance(graph: BarGraph, strikes: Sequence[Strike], path: Path) -> float:
    """Share of the signs of a path, 0 to 1, for which one drawn from them all would do as well."""
    grid, costs = lay_out(graph, "any"), Costs()
    hearing = Hearing(grid, costs, transposed=lies_above(strikes, grid, path.transposed))
    bar_of = grid.of[grid.bar]
    heard: dict[tuple[int, int, int], list[Floats]] = {}
    for number, bar in enumerate(path.bars):
        here = np.flatnonzero(bar_of == bar.bar)
        for placed in bar.strikes:
            at = here[np.searchsorted(grid.beat[here], placed.beat + 1e-6) - 1]
            sign = (number, int(grid.span[at]), int(grid.harmony[at]))
            heard.setdefault(sign, []).append(hearing.hear(strikes[placed.strike]).gain)
    drawn = np.bincount([harmony for _, _, harmony in heard], minlength=len(grid.harmonies))
    as_well = 0.0
    for gains in heard.values():
        gain = np.mean(gains, axis=0) * (1 + costs.echo * (len(gains) - 1))
        as_well += float(drawn[gain > gain.max() - AS_WELL].sum())
    return as_well / len(heard) ** 2 if heard else 0.0
