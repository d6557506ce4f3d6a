"""Where in the song does the class stumble, and on what?

For each bar and each section of the chart: how many students came by, how many of them
stumbled, on what, and which wrong chord or bass was heard most. Every student is one
voice, however often the place went wrong.
"""

from collections import Counter
from collections.abc import Iterable, Sequence, Set

from evaluator.chart.graph import Bar, BarGraph
from evaluator.report.class_report import (
    ClassTake,
    Exchange,
    Heat,
    HeatBar,
    HeatLine,
    HeatSection,
    Stumble,
    StumbleKind,
)

TONES = {"chord": "chord", "incomplete": "chord", "bass": "bass"}
"""Kinds of stumbles in which one thing was heard for another."""


def class_heat(graph: BarGraph, takes: Sequence[ClassTake]) -> tuple[HeatSection, ...]:
    """The whole chart as it lies on the page; `takes` are one a student."""
    heard = frozenset[int]().union(*(take.heard for take in takes))
    lines: dict[int, dict[tuple[int, int], list[Bar]]] = {}
    for bar in graph.bars:
        if bar.alternative == 0 or bar.index in heard:
            section = lines.setdefault(bar.section_index, {})
            section.setdefault((bar.line, bar.alternative), []).append(bar)
    return tuple(_section(section, takes) for section in lines.values())


def _section(lines: dict[tuple[int, int], list[Bar]], takes: Sequence[ClassTake]) -> HeatSection:
    bars = [bar for line in lines.values() for bar in line]
    return HeatSection(
        label=bars[0].section,
        lines=tuple(
            HeatLine(
                bars=tuple(
                    HeatBar(bar.index, bar.number, bar.text, heat({bar.index}, takes))
                    for bar in line
                ),
                cue=next((bar.cue for bar in line if bar.cue), ""),
                alternative=way > 0,
            )
            for (_, way), line in lines.items()
        ),
        heat=heat({bar.index for bar in bars}, takes),
    )


def heat(bars: Set[int], takes: Iterable[ClassTake]) -> Heat:
    """How it went in these bars; `bars` are indices into `BarGraph.bars`, `takes` one a student."""
    came_by = [take for take in takes if take.heard & bars]
    stumbles = [[one for one in take.stumbles if one.bar in bars] for take in came_by]
    on: Counter[StumbleKind] = Counter()
    for found in stumbles:
        on.update({one.kind for one in found})
    return Heat(
        heard=len(came_by),
        stumbled=sum(bool(found) for found in stumbles),
        on=tuple(sorted(on.items(), key=lambda kind: (-kind[1], kind[0]))),
        commonest=_commonest(stumbles),
        cost=sum(one.cost for found in stumbles for one in found),
    )


def _commonest(stumbles: Iterable[Sequence[Stumble]]) -> Exchange | None:
    """The exchange of most students; of equals the first by name, so that it is always the same."""
    heard: Counter[tuple[str, str, str]] = Counter()
    for found in stumbles:
        heard.update({one for stumble in found for one in _exchange(stumble)})
    if not heard:
        return None
    (part, expected, played), students = min(heard.items(), key=lambda one: (-one[1], one[0]))
    return Exchange("bass" if part == "bass" else "chord", expected, played, students)


def _exchange(stumble: Stumble) -> Iterable[tuple[str, str, str]]:
    if stumble.kind in TONES:
        words = dict(stumble.words)
        played = "" if stumble.case.endswith("not played") else words["played"]
        yield TONES[stumble.kind], words["expected"], played


def heat_told(heat: Heat) -> str:
    """How many came through, in words."""
    if not heat.heard:
        return "nobody played this"
    if not heat.stumbled:
        return f"all {heat.heard} got through" if heat.heard > 1 else "the one got through"
    return f"{heat.stumbled} of {heat.heard} stumbled"
