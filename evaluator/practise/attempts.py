"""What was tried in this take, how often, and what of it failed?

What fails again and again, and not elsewhere, is what the student cannot do yet
(`evaluator.practise.weakness`).
"""

from collections.abc import Iterator

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import Judgement
from evaluator.practise.attempt import Attempt, Label, Shares, Skill, TriedBar, tried_bar
from evaluator.practise.attempts_halts import entries, forms, halted, halts_of
from evaluator.practise.attempts_rhythm import (
    added,
    added_places,
    bar_line,
    late_lines,
    other_rhythm,
    strikes,
)
from evaluator.report.faults import plain_name


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
