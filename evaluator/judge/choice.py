"""Which of the patterns that the chart allows for a section was played?

`pattern A or B` leaves the choice to the player, once for each playing of the section. For each
playing every pattern is compared with the strikes of its bars: a strike where the pattern has
one counts in its favour, more so with the right notes; a strike that only the pattern or only
the player has counts against it. The best match is the pattern meant. Common practice, no source.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike
from evaluator.follow.path import Path, PlayedBar
from evaluator.take.strike import Strike

NEAR = 0.2
"""Beats within which a strike stands on its place."""
OTHER_TONES = 0.5
"""What a strike on its place is worth that has not the tones of the pattern."""

_Heard = Sequence[tuple[float, frozenset[int]]]
"""Beat and pitch classes of every strike of a bar."""


def in_played_patterns(graph: BarGraph, path: Path, strikes: Sequence[Strike]) -> BarGraph:
    """The song with one pattern for each playing of a section where the chart allows several: the
    one that agrees best with what was struck in it, the first where none was.

    `strikes` are the take's own, to which the path's indices refer.
    """
    rated: dict[int, list[float]] = defaultdict(list)
    for played in path.bars:
        bar = graph.bars[played.bar]
        if bar.others:
            heard = _heard(played, strikes, path.transposed)
            ratings = [_agreement(choice, heard) for choice in (bar.strikes, *bar.others)]
            before = rated[bar.section_index] or [0.0] * len(ratings)
            rated[bar.section_index] = [a + b for a, b in zip(before, ratings, strict=True)]
    chosen = {section: ratings.index(max(ratings)) for section, ratings in rated.items()}
    return replace(graph, bars=tuple(_settled(bar, chosen) for bar in graph.bars))


def _settled(bar: Bar, chosen: dict[int, int]) -> Bar:
    if not bar.others:
        return bar
    choices = (bar.strikes, *bar.others)
    return replace(bar, strikes=choices[chosen.get(bar.section_index, 0)], others=())


def _heard(played: PlayedBar, strikes: Sequence[Strike], transposed: int) -> _Heard:
    """Strikes by their own beat, not by the place that they were matched with."""
    seconds = max(played.end - played.start, 1e-3)
    found = []
    for index in played.struck:
        beat = (strikes[index].time - played.start) / seconds * played.beats_played
        found.append(
            (beat, frozenset((pitch - transposed) % 12 for pitch in strikes[index].pitches))
        )
    return found


def _agreement(pattern: Sequence[ExpectedStrike], heard: _Heard) -> float:
    """Strikes that pattern and bar have in common, of those that either has."""
    wanted: dict[float, frozenset[int]] = {}
    for strike in pattern:
        beat = float(strike.beat)
        wanted[beat] = wanted.get(beat, frozenset()) | strike.pitch_classes
    common = 0.0
    for beat, tones in wanted.items():
        near = [pcs for at, pcs in heard if abs(at - beat) <= NEAR]
        if near:
            common += 1.0 if any(tones == pcs for pcs in near) else OTHER_TONES
    total = len(wanted) + len(heard)
    return 2 * common / total if total else 0.0
