"""What do a bar's chord and bass score, if the rubric lets something pass?

The verdict stays as it is, so that the finding can still be said; only its price goes.
What the pattern costs is reckoned with its strikes, in `evaluator.judge.rhythm`.
"""

from dataclasses import replace

from evaluator.chart.graph import Bar
from evaluator.judge.parts import over_the_bar
from evaluator.judge.rubric import Rubric
from evaluator.judge.slips import left_by
from evaluator.judge.verdict import BarVerdict, PartVerdict, SpanVerdict


def let_pass(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> BarVerdict:
    """The verdict on a bar with the scores that the rubric gives it."""
    if {"incomplete_chord", "root_for_bass", "brushed_key"} <= rubric.counts:
        return verdict
    return replace(
        verdict,
        chord=_part(verdict.chord, bar, rubric),
        bass=_part(verdict.bass, bar, rubric),
    )


def _part(part: PartVerdict, bar: Bar, rubric: Rubric) -> PartVerdict:
    return over_the_bar(bar.spans, [_span(span, rubric) for span in part.spans])


def _span(span: SpanVerdict, rubric: Rubric) -> SpanVerdict:
    score, loss = span.score, span.loss
    if span.word in ("right", "incomplete"):
        left = left_by(span.slips)
        share = score / left
        if span.word == "incomplete" and span.played and not rubric.has("incomplete_chord"):
            share, loss = 1.0, None
        if not rubric.has("brushed_key"):
            left, loss = 1.0, None
        score = share * left
    elif span.root_for_bass and not rubric.has("root_for_bass"):
        score = 1.0
    return replace(span, score=score, loss=loss)
