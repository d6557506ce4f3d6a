"""What liberties does a player take with the strikes of a whole song?

Changes of the song as it is played (`accompany.py`): chords held over the bar line or taken
before it, a bass that walks, strikes that come twice. Common practice, no source.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike
from tests.bench.accompany import Maker, nothing, off_beat
from tests.bench.dice import Dice
from tests.playing.voicing import BASS_LOW


def with_strikes(graph: BarGraph, strikes: Callable[[Bar], list[ExpectedStrike]]) -> BarGraph:
    """The song as if its pattern were what is really played."""
    bars = [
        replace(bar, strikes=tuple(sorted(strikes(bar), key=lambda s: (s.beat, s.hand))))
        for bar in graph.bars
    ]
    return replace(graph, bars=tuple(bars))


def bare(graph: BarGraph) -> BarGraph:
    """The song as its chords alone: bars with the same chords sound alike."""
    return with_strikes(graph, nothing)


def pushed(graph: BarGraph, dice: Dice, share: float) -> tuple[BarGraph, frozenset[int]]:
    """Some changes of chord at the bar line come an off-beat early, in both hands.

    Gives the bars before which that happens as well.
    """
    off = off_beat(graph)
    early = {
        bar.index
        for before, bar in zip(graph.bars, graph.bars[1:], strict=False)
        if bar.index in graph.successors[before.index][:1]
        and bar.meter.unit == 4
        and before.spans[-1].chord != bar.spans[0].chord
        and None not in (before.spans[-1].chord, bar.spans[0].chord)
        and dice.chance(share)
    }
    ahead = frozenset(
        bar.index for bar in graph.bars if set(graph.successors[bar.index][:1]) & early
    )

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        found = list(bar.strikes)
        if bar.index in ahead:
            found = [s for s in found if s.beat < bar.beats - 1 + off]
        if bar.index in early:
            found = [replace(s, beat=off - 1) if s.beat == 0 else s for s in found]
        return found

    return with_strikes(graph, strikes), ahead


def walking(graph: BarGraph, dice: Dice, share: float) -> BarGraph:
    """In some bars the bass walks to the next one's over the last beat or two halves of it."""
    off = off_beat(graph)

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        ways = graph.successors[bar.index][:1]
        then = graph.bars[ways[0]].spans[0].bass if ways else None
        last = bar.spans[-1]
        beat = bar.beats - 1
        stays = last.bass is None or last.held or last.beat >= beat or bar.meter.unit == 8
        if then is None or stays or then == last.bass or not dice.chance(share):
            return list(bar.strikes)
        kept = [s for s in bar.strikes if s.hand == "right" or s.beat < beat]
        goal = BASS_LOW + (then - BASS_LOW) % 12
        steps = [(beat, goal + dice.pick((-2, -1, 1, 2)))]
        if dice.chance(0.5):
            side = dice.pick((-1, 1))
            steps = [(beat, goal + 3 * side), (beat + off, goal + side)]
        span = len(bar.spans) - 1
        return kept + [
            ExpectedStrike(at, "left", frozenset({key % 12}), "bass", span, (key,))
            for at, key in steps
        ]

    return with_strikes(graph, strikes)


def at_changes(graph: BarGraph) -> BarGraph:
    """A chord that goes on in the next bar of a line is held over the bar line, two bars long."""
    held: set[int] = set()
    for before, bar in pairwise(graph.bars):
        same = (before.spans[-1].chord, before.spans[-1].bass) == (
            bar.spans[0].chord,
            bar.spans[0].bass,
        )
        in_line = (
            bar.section_index == before.section_index
            and bar.index in (graph.successors[before.index][:1])
        )
        if same and in_line and before.index not in held:
            held.add(bar.index)

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        return [s for s in bar.strikes if bar.index not in held or s.span > 0]

    return with_strikes(graph, strikes)


def doubled(maker: Maker, dice: Dice, share: float) -> Maker:
    """Some strikes come once more, half-way to the next one."""

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        found = sorted(maker(bar), key=lambda strike: strike.beat)
        again = []
        for strike, following in pairwise([*found, None]):
            assert strike is not None
            then = bar.beats if following is None else following.beat
            if then > strike.beat and dice.chance(share):
                again.append(replace(strike, beat=(strike.beat + then) / 2))
        return found + again

    return strikes
