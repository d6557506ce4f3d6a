"""How do the verdicts on the spans of a bar become one verdict on the bar?"""

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
        return PartVerdict(None if only.word == "not judged" else only.score, only.word, (only,))
    word = min((verdict.word for verdict in verdicts), key=WORST.index)
    judged = [
        (float(span.beats), verdict.score)
        for span, verdict in zip(spans, verdicts, strict=True)
        if verdict.word != "not judged"
    ]
    total = sum(beats for beats, _ in judged)
    score = sum(beats * one for beats, one in judged) / total if total else None
    return PartVerdict(score, word, tuple(verdicts))
