"""What is to be said about the form: bars missing or too many, breaks, choices?

One sentence a finding, in the words of the lesson: the tail of a chorus, a line by its
first words, a section by its name. When the bars of a run sound alike, nobody can hear
which of them is missing; then the count is told, and that only the count is certain.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.marks import (
    BAR_COST,
    BREAK_COST,
    FINDING_COST,
    RESTART_BAR_COST,
    RESTART_COST,
    is_counted,
)
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import FormFinding
from evaluator.report.places import amount, bar_numbers, main_bar, place, quoted

ALIKE: Final = " These bars sound alike, so only the count is certain."
UNSURE: Final = " Which of them it was cannot be heard, so only the count is certain."
"""For bars that are not all alike but could be lost in several ways that sound the same."""

WHOLE: Final = {
    ("missing", "section"): "{section} is missing ({bars}).",
    ("missing", "line"): "{section}{line} is missing ({bars}).",
    ("missing", ""): "{section}: {bars} {is_are} missing{cue}.",
    ("extra", "section"): "{section} was played once more than the chart has it ({bars}).",
    ("extra", "line"): "{section}{line} came once more than the chart has it ({bars}).",
    ("extra", ""): "{section}: {bars} came once more than the chart has {it}{cue}.",
}
COUNTED: Final = "{where}: {had} where the chart has {wanted} ({bars})."
CHOICES: Final = {
    "or line": '{section}, {bars}: the "or" line was played, as the chart allows.',
    "left out": "{section}: {bars} left out, as the chart allows.",
    "times": "{section}{tail}: {had}, as the chart allows.",
    "": "{section}, {bars}: played in a way that the chart allows.",
}
BRIEF: Final = {
    ("missing", True): "{bars} missing from the tail of {section}",
    ("missing", False): "{bars} missing in {section}",
    ("extra", True): "{bars} too many in the tail of {section}",
    ("extra", False): "{bars} too many in {section}",
}
OF_LENGTH: Final = 12
"""Longest bar text that `three bars of D` may name."""

_COLOURS = re.compile(r"\s+\([^)]*\)")
"""What a bar may sound with is left out when it is named."""


@dataclass(frozen=True, slots=True)
class Run:
    """Bars counted together: a tail, or neighbours that sound alike."""

    where: str
    of: str
    """` of D` when all of them are written alike, else empty."""
    alike: bool
    had: int
    wanted: int
    at_least: bool
    numbers: tuple[int, ...]
    """Those of them that it may have been."""


def say(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    """One sentence for one finding; `played` tells for each bar how often it was played."""
    if finding.kind in ("restart", "break"):
        return _say_halt(finding, graph)
    if finding.kind == "choice":
        return _say_choice(finding, graph, played)
    run = _run(finding, graph, played)
    if run is None:
        return _say_whole(finding, graph)
    least = "at least " if run.at_least else ""
    sentence = COUNTED.format(
        where=run.where,
        had=f"{amount(run.had, 'bar')}{run.of}",
        wanted=f"{least}{amount(run.wanted, 'bar').split()[0]}",
        bars=bar_numbers(run.numbers),
    )
    if finding.run is None or finding.run[0] == finding.run[1]:
        return sentence
    return sentence + (ALIKE if run.alike else UNSURE)


def brief(finding: FormFinding) -> str:
    """`one bar missing from the tail of Chorus 2`, for a bar missing or too many."""
    bars = amount(finding.count, "bar")
    return BRIEF[finding.kind, finding.tail].format(bars=bars, section=finding.section)


def cost(finding: FormFinding, rubric: Rubric = STEADY) -> float:
    """What a finding takes from the marks, in bars as the faults are counted."""
    if not is_counted(finding, rubric):
        return 0.0
    by_kind = {
        "missing": FINDING_COST + BAR_COST * finding.count,
        "extra": FINDING_COST + BAR_COST * finding.count,
        "restart": RESTART_COST + RESTART_BAR_COST * finding.count,
        "break": BREAK_COST,
    }
    return rubric.shares["form"] * by_kind[finding.kind]


def _span(finding: FormFinding) -> tuple[int, ...]:
    if finding.run is None:
        return finding.bars
    return tuple(range(finding.run[0], finding.run[1] + 1))


def _run(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> Run | None:
    """The bars to count against each other, where counting them makes sense."""
    first = main_bar(graph, finding.bars[0])
    written = [graph.bars[index] for index in graph.written]
    if finding.tail:
        bars = [b for b in written if b.tail and b.section_index == first.section_index]
        where = f"{first.section}, the tail"
    elif finding.run is not None:
        bars = [b for b in written if finding.run[0] <= b.number <= finding.run[1]]
        where = first.section
    else:
        return None
    # Any bar of the span may be the one that was lost, wherever the follower put the gap;
    # the others without a playing are left out, where the chart has a range.
    span = _span(finding)
    wanted = len(bars)
    if finding.kind == "missing":
        wanted -= sum(bar.index not in played and bar.number not in span for bar in bars)
    had = wanted - finding.count if finding.kind == "missing" else wanted + finding.count
    if had < 1:
        return None
    alike = {_COLOURS.sub("", bar.text) for bar in bars}
    text = alike.pop()
    of = f" of {text}" if not alike and text != "%" and len(text) <= OF_LENGTH else ""
    return Run(
        where,
        of,
        _sound_alike(finding, graph),
        had,
        wanted,
        at_least=wanted < len(bars),
        numbers=tuple(bar.number for bar in bars if bar.number in span),
    )


def _sound_alike(finding: FormFinding, graph: BarGraph) -> bool:
    """Whether all bars of a finding's run are written with the same chords."""
    return len({_COLOURS.sub("", main_bar(graph, n).text) for n in _span(finding)}) == 1


def _say_whole(finding: FormFinding, graph: BarGraph) -> str:
    bar = main_bar(graph, finding.bars[0])
    several = len(finding.bars) > 1
    whole = finding.detail if finding.detail in ("section", "line") else ""
    return WHOLE[finding.kind, whole].format(
        section=finding.section,
        line=f": the line {quoted(bar.cue)}" if bar.cue else ": a whole line",
        bars=bar_numbers(finding.bars),
        cue=f" ({quoted(bar.cue)})" if bar.cue else "",
        is_are="are" if several else "is",
        it="them" if several else "it",
    )


def _say_halt(finding: FormFinding, graph: BarGraph) -> str:
    where = place(main_bar(graph, finding.bars[0]))
    seconds = f"{finding.halt:.1f} seconds"
    if finding.kind == "break":
        return f"{where}: a halt of {seconds}, without losing the place."
    after = f" after {seconds}" if finding.halt >= 0.05 else ""
    again = f"; {amount(finding.count, 'bar')} came again" if finding.count else ""
    return f"{where}: broken off and taken up here again{after}{again}."


def _say_choice(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    bar = main_bar(graph, finding.bars[0])
    had = sum(
        times
        for index, times in played.items()
        if graph.bars[index].section_index == bar.section_index
        and graph.bars[index].line == bar.line
    )
    return CHOICES[finding.detail].format(
        section=finding.section,
        bars=bar_numbers(finding.bars),
        tail=", the tail" if bar.tail else f", the line {quoted(bar.cue)}" if bar.cue else "",
        had=amount(had, "bar"),
    )
