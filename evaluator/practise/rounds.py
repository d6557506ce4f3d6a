"""How did a passage go each time it was played, when it was played round and round?

The bars of the passage are cut out of the song as a song of their own; for following its
end may go back to its beginning. Each time through is then a pass, whose form is judged
for itself: what was left out the third time is missing, although it was there before. A
pass ends at the end of the passage, or where the player went back to the beginning sooner;
the pause between two passes is nobody's fault.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import median

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.extent import extent_of
from evaluator.judge.form import judge_form
from evaluator.judge.marks import give_marks
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from evaluator.report.faults import bar_faults
from evaluator.report.model import Pass


def excerpt(graph: BarGraph, bars: Sequence[int]) -> BarGraph:
    """The bars of a passage, with the `or` lines of lines that are wholly in it, as a song."""
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
    """The bars of the song that are in the excerpt, in the order in which that counts them."""
    return tuple(sorted({*bars, *_alternatives(graph, bars)}))


def looped(passage: BarGraph) -> BarGraph:
    """The same passage, whose end may go back to its beginning."""
    return replace(
        passage,
        successors=tuple(
            tuple(dict.fromkeys((*ways, *passage.starts))) if bar in passage.finals else ways
            for bar, ways in enumerate(passage.successors)
        ),
    )


def judge_passes(
    passage: BarGraph, path: Path, judgement: Judgement, *, seconds: float
) -> tuple[Judgement, tuple[Pass, ...]]:
    """The judgement with its form judged pass by pass, and the passes.

    `seconds` is when the last key of the take was let go.
    """
    slices = _slices(passage, path)
    form: list[FormFinding] = []
    passes: list[Pass] = []
    for number, (first, last) in enumerate(slices, start=1):
        part = _part(path, first, last)
        until = seconds if last == len(path.bars) else 0.0
        found = judge_form(passage, part, last_end=until, patience=judgement.rubric.halt_beats)
        form += found
        passes.append(_pass(number, passage, part, judgement, (first, found)))
    bars = _weighed(passage, path, judgement.bars)
    extent = extent_of(passage, judgement.bars, form)
    marks = give_marks(bars, form, judgement.rubric, touch=judgement.touch.mark, extent=extent)
    return replace(judgement, form=tuple(form), marks=marks, extent=extent), tuple(passes)


def _alternatives(graph: BarGraph, bars: Sequence[int]) -> set[int]:
    """Bars of `or` lines that stand for a line of the passage."""
    lines: dict[tuple[int, int, int], set[int]] = {}
    for index in graph.written:
        bar = graph.bars[index]
        lines.setdefault((bar.section_index, bar.line, bar.copy), set()).add(index)
    whole = {line for line, members in lines.items() if members <= set(bars)}
    return {
        bar.index
        for bar in graph.bars
        if bar.alternative and (bar.section_index, bar.line, bar.copy) in whole
    }


def _begins_like(graph: BarGraph, kept: Sequence[int], first: int, bar: int) -> bool:
    """Whether a bar begins an `or` line of the line with which the passage begins."""
    one, other = graph.bars[kept[first]], graph.bars[kept[bar]]
    same = (one.section_index, one.line, one.copy) == (
        other.section_index,
        other.line,
        other.copy,
    )
    return same and one.place == other.place == 0


def _slices(passage: BarGraph, path: Path) -> list[tuple[int, int]]:
    """First and one past the last played bar of each pass."""
    begins = [0]
    for index, (before, here) in enumerate(pairwise(path.bars), start=1):
        whole = before.bar in passage.finals and here.bar in passage.starts
        onward = here.bar in passage.successors[before.bar]
        sooner = here.bar in passage.starts and here.entry in ("jump", "restart")
        if (whole and not onward) or sooner:
            begins.append(index)
    return list(pairwise([*begins, len(path.bars)])) if path.bars else []


def _part(path: Path, first: int, last: int) -> Path:
    """One pass as a path of its own, without the pause before it."""
    bars = list(path.bars[first:last])
    pause = 0.0 if bars[0].pause_beat < 0.01 else bars[0].pause
    bars[0] = replace(bars[0], entry="start", pause=pause)
    return replace(path, bars=tuple(bars))


def _pass(
    number: int,
    passage: BarGraph,
    part: Path,
    judgement: Judgement,
    found: tuple[int, Sequence[FormFinding]],
) -> Pass:
    first, form = found
    verdicts = judgement.bars[first : first + len(part.bars)]
    wrong = {
        passage.bars[verdict.bar].number
        for verdict in verdicts
        if any(
            fault.kind not in ("slip", "lost")
            for fault in bar_faults(verdict, passage, judgement.rubric)
        )
    }
    missing = {number for one in form if one.kind == "missing" for number in one.bars}
    speeds = [verdict.bpm for verdict in verdicts if verdict.judged]
    return Pass(
        number=number,
        start=part.bars[0].start,
        end=part.bars[-1].end,
        complete=part.bars[-1].bar in passage.finals,
        bpm=median(speeds) if speeds else 0.0,
        marks=give_marks(_weighed(passage, part, verdicts), form, judgement.rubric),
        wrong=tuple(sorted(wrong | missing)),
    )


def _weighed(
    passage: BarGraph, path: Path, verdicts: Sequence[BarVerdict]
) -> list[tuple[BarVerdict, float]]:
    """Each verdict with the length of what was played of its bar."""
    return [
        (verdict, min(played.beats_played / float(bar.beats), 1.0) * bar.seconds)
        for verdict, played in zip(verdicts, path.bars, strict=True)
        for bar in [passage.bars[played.bar]]
    ]
