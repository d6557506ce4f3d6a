"""How were the last bars, judged without the whole take?

The judges look at a bar and at what stands about it. So they get the last bars of the way
with two more before them, the strikes in these, and the notes since the first of these
strikes, numbered anew.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge import judge
from evaluator.judge.verdict import Judgement
from evaluator.take.model import Take
from evaluator.take.strike import Strike

ABOUT = 2
"""Bars before the first judged one: what still sounds from them, and how loud they were."""

TakeSince = Callable[[float], Take]
"""The notes of the take struck from a moment on; all of it from 0."""


def judge_lately(
    graph: BarGraph, strikes: Sequence[Strike], path: Path, first: int, take_since: TakeSince
) -> Judgement:
    """The judgement on the bars of the way from `first` on; its marks are theirs alone."""
    about = max(first - ABOUT, 0)
    bars = path.bars[about:]
    begin = min((strike for bar in bars for strike in bar.struck), default=0)
    base = min(strikes[begin].notes) if begin else 0
    take = take_since(strikes[begin].time if begin else 0.0)
    if begin and not _numbered(take, strikes[begin], strikes[-1], base):
        begin, base, take = 0, 0, take_since(0.0)
    late = replace(
        path,
        bars=tuple(bar.counted_on(-begin) for bar in bars),
        before=tuple(strike - begin for strike in path.before if strike >= begin),
        after=tuple(strike - begin for strike in path.after if strike >= begin),
        misfit=0.0,  # nobody asks whether these few bars are of the song
    )
    heard = tuple(
        replace(strike, notes=tuple(note - base for note in strike.notes))
        for strike in strikes[begin:]
    )
    judgement = judge(graph, take, heard, late)
    verdicts = judgement.bars[first - about :]
    return replace(
        judgement,
        bars=tuple(replace(one, played=first + at + 1) for at, one in enumerate(verdicts)),
    )


def _numbered(take: Take, first: Strike, last: Strike, base: int) -> bool:
    """Whether the notes are numbered from `base`: two strikes of one instant may part them."""
    wanted = [*first.pitches, *last.pitches]
    notes = [note - base for note in (*first.notes, *last.notes)]
    return max(notes) < len(take) and take.pitches[notes].tolist() == wanted
