"""Where did the playing stop or lose its way: halts, restarts, bars missing or too many?"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from evaluator.practise.attempt import Attempt, Skill, TriedBar, chord_skills
from evaluator.report.form_told import cost as form_cost

NEAR: Final = 0.1
"""Beats by which a halt may seem to come before the chord that it delays."""


def entries(tried: TriedBar, halts: Sequence[FormFinding], rubric: Rubric) -> Iterator[Attempt]:
    """One attempt for each chord of a bar: getting into it without a halt before it."""
    verdict, bar, labels = tried.verdict, tried.bar, tried.labels
    inside = halted(verdict, bar, halts)
    beat_seconds = 60.0 / verdict.bpm if verdict.bpm > 0 else 1.0
    for place, label in enumerate(labels):
        until = labels[place + 1].beat if place + 1 < len(labels) else float("inf")
        here = [
            halt
            for halt in inside
            if label.beat <= max(0.0, (halt.at - verdict.start) / beat_seconds) + NEAR < until
        ]
        yield Attempt(
            (
                *chord_skills("halt", label),
                Skill("halt", "bar", (str(bar.number),)),
            ),
            bar,
            label.beat,
            sum(form_cost(halt, rubric) for halt in here),
            case="break",
            expected=label.chord,
            before=label.chord_before,
        )


def halted(verdict: BarVerdict, bar: Bar, halts: Sequence[FormFinding]) -> list[FormFinding]:
    """The halts in a bar, and the one before its bar line, which is before its beginning."""
    return [
        halt
        for halt in halts
        if halt.bars[0] == bar.number and verdict.start - halt.halt - NEAR <= halt.at < verdict.end
    ]


def halts_of(judgement: Judgement) -> list[FormFinding]:
    """The halts among the findings of the form, in the order of playing."""
    return [finding for finding in judgement.form if finding.kind == "break"]


def forms(graph: BarGraph, judgement: Judgement) -> Iterator[Attempt]:
    """One failed attempt for each restart and each stretch of bars missing or too many."""
    main = {graph.bars[index].number: graph.bars[index] for index in reversed(graph.written)}
    for finding in judgement.form:
        if finding.kind == "restart":
            bar = main[finding.bars[-1]]
            skill = Skill("halt", "bar", (str(bar.number),))
        elif finding.kind in ("missing", "extra"):
            bar = main[finding.bars[0]]
            tail = "tail" if finding.tail else str(bar.number)
            skill = Skill("count", "count", (finding.section, tail))
        else:
            continue
        yield Attempt(
            (skill,),
            bar,
            0.0,
            form_cost(finding, judgement.rubric),
            case=finding.kind,
            count=max(1, finding.count),
            finding=finding,
        )
