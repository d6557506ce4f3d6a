"""How does the song lie on the page, and which of its bars were played?

As the chart lays it out: sections in playing order, the written lines of bars, the
words under them. The copies of a counted line follow on in one line; of a line and its
`or` lines the one that was played is shown, the main line when none was.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.marks import is_counted
from evaluator.judge.names import chord_name
from evaluator.judge.verdict import FormFinding, FormKind, Judgement
from evaluator.report.model import BarState, LayoutBar, LayoutLine, LayoutSection

BASS_TOLD: Final = ("wrong", "incomplete", "not played")
HELD_AGAINST: tuple[FormKind, ...] = ("missing", "extra", "restart", "break")


def lay_out(graph: BarGraph, judgement: Judgement) -> tuple[LayoutSection, ...]:
    """The whole chart, section by section, with what became of every bar."""
    played: dict[int, list[int]] = {}
    for verdict in judgement.bars:
        played.setdefault(verdict.bar, []).append(verdict.played)
    reached = _reached(graph, judgement)
    left_out = {n for f in judgement.form if f.kind == "choice" for n in f.bars}
    kinds = _kinds(graph, judgement, played)
    shown: dict[int, dict[tuple[int, int], list[LayoutBar]]] = {}
    cues: dict[tuple[int, int, int], str] = {}
    labels: dict[int, str] = {}
    for bar in _shown(graph.bars, played):
        labels.setdefault(bar.section_index, bar.section)
        lines = shown.setdefault(bar.section_index, {})
        key = (bar.line, bar.alternative)
        # Copies of one line share words: the first copy that has any names them.
        cues[bar.section_index, *key] = cues.get((bar.section_index, *key)) or bar.cue
        found = kinds.get(bar.number, ())
        times = tuple(played.get(bar.index, ()))
        state = _state(bar, times, found, reached)
        if state == "left out" and bar.number not in left_out and _unheard(judgement, bar, graph):
            state = "lost"
        form = tuple(kind for kind in found if kind != "missing")
        lines.setdefault(key, []).append(
            LayoutBar(bar.number, _text(bar, judgement, times), times, state, form if times else ())
        )
    return tuple(
        LayoutSection(
            label=labels[section],
            left_out=all(bar.state == "left out" for bars in lines.values() for bar in bars),
            lines=tuple(
                LayoutLine(tuple(bars), cues[section, *key], alternative=key[1] > 0)
                for key, bars in lines.items()
            ),
        )
        for section, lines in shown.items()
    )


def _kinds(
    graph: BarGraph, judgement: Judgement, played: Mapping[int, list[int]]
) -> dict[int, tuple[FormKind, ...]]:
    """For each bar number the kinds of findings that are held against it."""
    kinds: dict[int, tuple[FormKind, ...]] = {}
    there = {graph.bars[index].number for index in played}
    for finding in judgement.form:
        if finding.kind not in HELD_AGAINST:
            continue
        if finding.kind != "missing" and not is_counted(finding, judgement.rubric):
            continue
        for number in _touched(finding, there):
            kinds[number] = (*kinds.get(number, ()), finding.kind)
    return kinds


def _touched(finding: FormFinding, there: set[int]) -> Sequence[int]:
    """Numbers of the bars at which a finding is marked."""
    if finding.kind == "restart":
        return finding.bars[:1]
    if finding.kind == "missing" and finding.run is not None:
        # Which bar of the run is missing is anybody's guess; the page shows those empty
        # to which no playing was given, from the end of the run.
        first, last = finding.run
        empty = [number for number in range(last, first - 1, -1) if number not in there]
        return empty[: finding.count]
    return finding.bars


def _shown(bars: Sequence[Bar], played: Mapping[int, list[int]]) -> list[Bar]:
    """Of each copy of a line the ways of playing it that were played, or the main one."""
    copies: dict[tuple[int, int, int], dict[int, list[Bar]]] = {}
    for bar in bars:
        ways = copies.setdefault(bar.line_played, {})
        ways.setdefault(bar.alternative, []).append(bar)
    shown: list[Bar] = []
    for ways in copies.values():
        used = [way for way in ways.values() if any(bar.index in played for bar in way)]
        for way in used or [ways[0]]:
            shown += way
    return shown


def _reached(graph: BarGraph, judgement: Judgement) -> range:
    """Numbers of the chart's bars between the first and the last that were played."""
    numbers = [graph.bars[verdict.bar].number for verdict in judgement.bars]
    return range(min(numbers), max(numbers) + 1) if numbers else range(0)


def _unheard(judgement: Judgement, bar: Bar, graph: BarGraph) -> bool:
    """Whether the bars about it could not be followed, as where the piano was away."""
    near = [v for v in judgement.bars if graph.bars[v.bar].number < bar.number][-1:]
    near += [v for v in judgement.bars if graph.bars[v.bar].number > bar.number][:1]
    return any(not verdict.judged for verdict in near)


def _text(bar: Bar, judgement: Judgement, times: Sequence[int]) -> str:
    """The bar as written; where its bass was wrong, with the basses that the rules want."""
    wrong = any(judgement.bars[number - 1].bass.word in BASS_TOLD for number in times)
    if not wrong or not any(span.ruled for span in bar.spans):
        return bar.text
    text, place = bar.text, 0
    for span in bar.spans:
        if span.chord is None:
            continue
        written, wanted = span.chord.text, chord_name(span, bar)
        at = text.find(written, place)
        if at >= 0:
            text = text[:at] + wanted + text[at + len(written) :]
            place = at + len(wanted)
    return text


def _state(
    bar: Bar, times: tuple[int, ...], found: tuple[FormKind, ...], reached: range
) -> BarState:
    if times:
        return "played"
    if "missing" in found:
        return "missing"
    return "left out" if bar.number in reached else "not reached"
