"""How did a passage go each time it was played, when it was played round and round?

The bars of the passage are cut out of the song as a song of their own; for following its
end may go back to its beginning. Each time through is then a round, whose form is judged
for itself: what was left out the third time is missing, although it was there before. It
ends at the end of the passage, or where the player went back to the beginning sooner;
the pause between two rounds is nobody's fault.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.form import judge_form
from evaluator.judge.marks import give_marks, lengths_played, marked
from evaluator.judge.verdict import FormFinding, Judgement, Marks


def excerpt(graph: BarGraph, bars: Sequence[int]) -> BarGraph:
    """A passage as a song of its own; `bars` are indices into `graph.bars`, in order. An `or` line
    is in it if all of the line that it stands for is."""
    kept = kept_of(graph, bars)
    place = {old: new for new, old in enumerate(kept)}
    ways = [tuple(place[to] for to in graph.successors[old] if to in place) for old in kept]
    leaving = [
        place[old]
        for old in kept
        if old in graph.finals or any(to not in place for to in graph.successors[old])
    ]
    first, last = place[bars[0]], place[bars[-1]]
    beside = [bar for bar in (place[old] for old in kept) if _begins_like(graph, kept, first, bar)]
    return replace(
        graph,
        bars=tuple(replace(graph.bars[old], index=new) for new, old in enumerate(kept)),
        successors=tuple(ways),
        starts=tuple(dict.fromkeys((first, *beside))),
        finals=tuple(dict.fromkeys((last, *leaving))),
        written=tuple(place[old] for old in bars),
    )


def kept_of(graph: BarGraph, bars: Sequence[int]) -> tuple[int, ...]:
    """Indices into `graph.bars` of all bars of an excerpt, in the order in which it numbers
    them."""
    return tuple(sorted({*bars, *_alternatives(graph, bars)}))


def looped(passage: BarGraph) -> BarGraph:
    """The same passage, in which one may go from its end to its beginning."""
    return replace(
        passage,
        successors=tuple(
            tuple(dict.fromkeys((*ways, *passage.starts))) if bar in passage.finals else ways
            for bar, ways in enumerate(passage.successors)
        ),
    )


@dataclass(frozen=True, slots=True)
class Round:
    """One time through a passage."""

    first: int
    """Its first played bar,"""
    last: int
    """and one past its last."""
    start: float
    end: float
    complete: bool
    """Came to the end of the passage."""
    marks: Marks
    form: tuple[FormFinding, ...]


def judge_rounds(
    passage: BarGraph, path: Path, judgement: Judgement, *, seconds: float
) -> tuple[Judgement, tuple[Round, ...]]:
    """The judgement of a passage that was played round and round, with the form of each time
    through judged by itself; and these times through.

    `seconds`: when the last key of the take was let go.
    """
    lengths = lengths_played(passage, path)
    rounds: list[Round] = []
    for first, last in _slices(passage, path):
        part = _part(path, first, last)
        until = seconds if last == len(path.bars) else 0.0
        form = judge_form(passage, part, last_end=until, patience=judgement.rubric.halt_beats)
        weighed = list(zip(judgement.bars[first:last], lengths[first:last], strict=True))
        marks = give_marks(weighed, form, judgement.rubric)
        complete = part.bars[-1].bar in passage.finals
        start, end = part.bars[0].start, part.bars[-1].end
        rounds.append(Round(first, last, start, end, complete, marks, form))
    form = tuple(finding for one in rounds for finding in one.form)
    return marked(passage, path, replace(judgement, form=form)), tuple(rounds)


def _alternatives(graph: BarGraph, bars: Sequence[int]) -> set[int]:
    """Bars of `or` lines that stand for a line of the passage."""
    lines: dict[tuple[int, int, int], set[int]] = {}
    for index in graph.written:
        bar = graph.bars[index]
        lines.setdefault(bar.line_played, set()).add(index)
    whole = {line for line, members in lines.items() if members <= set(bars)}
    return {bar.index for bar in graph.bars if bar.alternative and bar.line_played in whole}


def _begins_like(graph: BarGraph, kept: Sequence[int], first: int, bar: int) -> bool:
    """Whether a bar begins an `or` line of the line with which the passage begins."""
    one, other = graph.bars[kept[first]], graph.bars[kept[bar]]
    return one.line_played == other.line_played and one.place == other.place == 0


def _slices(passage: BarGraph, path: Path) -> list[tuple[int, int]]:
    """First and one past the last played bar of each round."""
    begins = [0]
    for index, (before, here) in enumerate(pairwise(path.bars), start=1):
        whole = before.bar in passage.finals and here.bar in passage.starts
        onward = here.bar in passage.successors[before.bar]
        sooner = here.bar in passage.starts and here.entry in ("jump", "restart")
        if (whole and not onward) or sooner:
            begins.append(index)
    return list(pairwise([*begins, len(path.bars)])) if path.bars else []


def _part(path: Path, first: int, last: int) -> Path:
    """One round as a path of its own, without the pause before it."""
    bars = list(path.bars[first:last])
    pause = 0.0 if bars[0].pause_beat < 0.01 else bars[0].pause
    bars[0] = replace(bars[0], entry="start", pause=pause)
    return replace(path, bars=tuple(bars))
