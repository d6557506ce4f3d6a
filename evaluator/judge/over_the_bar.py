"""How do the verdicts on the spans of a bar become one verdict on the bar?

If the rubric lets something pass, the verdict stays as it is, so that the finding can still be
said; only its price goes. What the pattern costs is reckoned with its strikes, in
`evaluator.judge.rhythm`.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

from evaluator.chart.graph import Bar, Span
from evaluator.judge.rubric import Rubric
from evaluator.judge.slips import left_by
from evaluator.judge.verdict import BarVerdict, PartVerdict, SpanVerdict, Word

WORST: tuple[Word, ...] = (
    *("wrong", "not played", "incomplete", "put right", "right", "not judged"),
)
"""The word for a bar is the first of these that one of its spans has."""


def not_judged(span: Span, expected: str) -> SpanVerdict:
    """The verdict on a span in which the chart wants nothing, or as far as which the bar was not
    played. `expected`: what the chart has there, by name."""
    return SpanVerdict(float(span.beat), expected, "", "not judged", 1.0)


def over_the_bar(spans: Sequence[Span], verdicts: Sequence[SpanVerdict]) -> PartVerdict:
    """One verdict for the bar from those on its spans: the mean of their scores, each by its
    length, and the worst word. Spans that were not judged have no part in the score."""
    if len(verdicts) == 1:
        (only,) = verdicts
        score = None if only.word == "not judged" else only.score
        return PartVerdict(score, only.word, (only,), only.loss)
    word = min((verdict.word for verdict in verdicts), key=WORST.index)
    judged = [
        (float(span.beats), verdict.score, _lost(verdict))
        for span, verdict in zip(spans, verdicts, strict=True)
        if verdict.word != "not judged"
    ]
    if not judged:
        return PartVerdict(None, word, tuple(verdicts))
    total = sum(beats for beats, _, _ in judged)
    score = sum(beats * one for beats, one, _ in judged) / total
    loss = math.sqrt(sum(beats * lost**2 for beats, _, lost in judged) / total)
    return PartVerdict(score, word, tuple(verdicts), loss)


def _lost(span: SpanVerdict) -> float:
    return 1.0 - span.score if span.loss is None else span.loss


def let_pass(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> BarVerdict:
    """The verdict with the scores of a rubric that lets something pass: chords with a tone
    missing, the root in place of another bass, brushed keys."""
    if {"incomplete_chord", "root_for_bass", "brushed_key"} <= rubric.counts:
        return verdict
    return replace(
        verdict,
        chord=_part(verdict.chord, bar, rubric),
        bass=_part(verdict.bass, bar, rubric),
    )


def _part(part: PartVerdict, bar: Bar, rubric: Rubric) -> PartVerdict:
    return over_the_bar(bar.spans, [_passed(span, rubric) for span in part.spans])


def _passed(span: SpanVerdict, rubric: Rubric) -> SpanVerdict:
    score, loss = span.score, span.loss
    if span.word in ("right", "incomplete"):
        left = left_by(span.slips)
        share = score / left
        lacks = span.mute or (span.word == "incomplete" and span.played)
        if lacks and not rubric.has("incomplete_chord"):
            share, loss = 1.0, None
        if not rubric.has("brushed_key"):
            left, loss = 1.0, None
        score = share * left
    elif span.root_for_bass and not rubric.has("root_for_bass"):
        score = 1.0
    return replace(span, score=score, loss=loss)
