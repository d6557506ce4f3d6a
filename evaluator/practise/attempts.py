"""What was tried in this take, how often, and what of it failed?

What fails again and again, and not elsewhere, is what the student cannot do yet
(`evaluator.practise.weakness`). Getting into a chord without a halt, and keeping to the form, are
tried as well.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from evaluator.practise.attempt import (
    Attempt,
    Label,
    Shares,
    Skill,
    TriedBar,
    chord_skills,
    tried_bar,
)
from evaluator.practise.attempts_rhythm import (
    added,
    added_places,
    bar_line,
    late_lines,
    other_rhythm,
    strikes,
)
from evaluator.report.faults import plain_name
from evaluator.report.form_told import cost as form_cost


def attempts(graph: BarGraph, judgement: Judgement) -> tuple[Attempt, ...]:
    """Every attempt of a take, in the order of playing; bars that are not judged have none."""
    halts = halts_of(judgement)
    places = added_places(graph, judgement)
    lines = late_lines(graph, judgement, halts)
    shares = judgement.rubric.shares
    found: list[Attempt] = []
    before: Label | None = None
    for verdict in judgement.bars:
        bar = graph.bars[verdict.bar]
        if not verdict.judged:
            before = None
            continue
        tried = tried_bar(verdict, bar, before)
        if not halted(verdict, bar, halts):
            # Where somebody stops to think the halt is the thing, not the keys tried about it.
            found += _sounds(tried, shares)
            found += strikes(tried, graph, shares)
            found += other_rhythm(tried, judgement.rubric)
            found += bar_line(tried, lines.get(verdict.played), shares)
            found += added(tried, places, graph, shares)
        found += entries(tried, halts, judgement.rubric)
        before = tried.labels[-1] if tried.labels else before
    return (*found, *forms(graph, judgement))


def _sounds(tried: TriedBar, shares: Shares) -> Iterator[Attempt]:
    """Chord and bass of every span."""
    verdict, bar = tried.verdict, tried.bar
    at = {label.beat: label for label in tried.labels}
    for span in verdict.chord.spans:
        if span.word == "not judged":
            continue
        label = at[span.beat]
        chord, came = plain_name(label.chord), plain_name(label.chord_before)
        cost = shares["chord"] * (1.0 - span.score) / len(verdict.chord.spans)
        yield Attempt(
            (Skill("chord", "into", (chord,)), Skill("chord", "move", (came, chord))),
            bar,
            span.beat,
            cost if span.word != "right" else 0.0,
            case=span.word,
            expected=chord,
            played=span.played,
            before=came,
        )
    for span in verdict.bass.spans:
        if span.word == "not judged" or span.beat not in at:
            continue
        label = at[span.beat]
        cost = shares["bass"] * (1.0 - span.score) / len(verdict.bass.spans)
        under = (label.chord, span.expected)
        yield Attempt(
            (
                Skill("bass", "into", under),
                Skill("bass", "move", (label.chord_before, *under)),
            ),
            bar,
            span.beat,
            cost if span.word != "right" else 0.0,
            case=span.word,
            expected=span.expected,
            played=span.played,
            before=label.bass_before,
        )


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
