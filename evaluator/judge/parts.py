"""How do the verdicts on the spans of a bar become one verdict on the bar?"""

import math
from collections.abc import Sequence

from evaluator.chart.graph import Span
from evaluator.judge.verdict import PartVerdict, SpanVerdict, Word

WORST: tuple[Word, ...] = (
    *("wrong", "not played", "incomplete", "put right", "right", "not judged"),
)
"""The word for a bar is the first of these that one of its spans has."""


def not_judged(span: Span, expected: str) -> SpanVerdict:
    """The chart wants nothing here, or the playing did not come so far."""
    return SpanVerdict(float(span.beat), expected, "", "not judged", 1.0)


def over_the_bar(spans: Sequence[Span], verdicts: Sequence[SpanVerdict]) -> PartVerdict:
    """Mean of the judged spans, each by its length."""
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
