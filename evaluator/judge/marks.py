"""What marks does a take get?

One out of a hundred for each of chord, bass, rhythm, form and touch, and one for all. A bar
counts by how much of it was to be played; bars in which the playing could not be followed
count for nothing. As to chord and bass the worst of a bar tells most, since a teacher counts the
bars that were right: one wrong strike of four takes half of it. The whole is 100 times what
each part leaves of it: one thing that is quite wrong is not made good by the others, as it would
be in a mean. What a part leaves falls with what was lost in it, its share and the strictness of
the rubric, exp(-strictness x share x lost / 100); so the first things lost cost most, and nobody
who played the song gets nothing.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.extent import extent_of
from evaluator.judge.rubric import STEADY, Countable, Rubric
from evaluator.judge.verdict import (
    BarVerdict,
    Extent,
    FormFinding,
    FormKind,
    Judgement,
    Marks,
    PartVerdict,
)
from evaluator.parts import PARTS, Part

FORM_RULES: dict[FormKind, Countable] = {
    "missing": "missing_bar",
    "extra": "extra_bar",
    "restart": "restart",
    "break": "halt",
}
"""By which rule of a rubric each finding counts; a choice never does."""

BAR_COST = 1.0
"""A bar missing or too many takes away itself,"""
FINDING_COST = 2.0
"""and the confusion about it counts as so many bars more."""
RESTART_COST = 1.5
"""Bars that a restart costs; one gets going again and loses no place in the song."""
RESTART_BAR_COST = 0.25
"""For each bar that it plays again."""
BREAK_COST = 0.5
PRICES: dict[FormKind, tuple[float, float]] = {
    "missing": (FINDING_COST, BAR_COST),
    "extra": (FINDING_COST, BAR_COST),
    "restart": (RESTART_COST, RESTART_BAR_COST),
    "break": (BREAK_COST, 0.0),
    "choice": (0.0, 0.0),
}
"""What a finding costs, and each of its bars in addition."""
SHORTEST = 16
"""Bars: in a shorter take one slip does not cost more than in this one."""


def give_marks(
    bars: Sequence[tuple[BarVerdict, float]],
    form: Sequence[FormFinding],
    rubric: Rubric = STEADY,
    *,
    touch: float | None = None,
    extent: Extent | None = None,
) -> Marks:
    """Marks from the played bars, each with its length, from the findings of the form, from
    the `touch`, if that can be told, and from what of the song there is.

    What cannot be judged takes nothing, and makes nothing else dearer. The whole is reckoned
    from the numbers as they are told, so that anybody can check it on paper.
    """
    judged = [(bar, length) for bar, length in bars if bar.judged]
    counted = [finding for finding in form if is_counted(finding, rubric)]
    found: dict[Part, float | None] = {
        "chord": _mean([(_kept(bar.chord), length) for bar, length in judged]),
        "bass": _mean([(_kept(bar.bass), length) for bar, length in judged]),
        "rhythm": _mean([(bar.rhythm.score, length) for bar, length in judged]),
        "form": form_mark(counted, len(bars), extent),
        "touch": touch,
    }
    known = {part: round(mark, 1) for part, mark in found.items() if mark is not None}
    if not any(PARTS[part].by_bars for part in known):
        # Nothing was judged but the order of the bars.
        return Marks(0.0, {**dict.fromkeys(PARTS), "form": known["form"]})
    left = leaves(known, rubric)
    overall = 100.0 * math.prod(left.values()) if left else 0.0
    return Marks(round(overall, 1), {part: known.get(part) for part in PARTS})


def marked(graph: BarGraph, path: Path, judgement: Judgement) -> Judgement:
    """The judgement with the marks for its bars, form and touch, and how much of the song it is.

    Its bars follow `path.bars` one for one. Wherever a finding is taken back or found later,
    everything is marked again by this.
    """
    weighed = list(zip(judgement.bars, lengths_played(graph, path), strict=True))
    extent = extent_of(graph, judgement.bars, judgement.form)
    touch, rubric = judgement.touch.mark, judgement.rubric
    marks = give_marks(weighed, judgement.form, rubric, touch=touch, extent=extent)
    return replace(judgement, marks=marks, extent=extent)


def lengths_played(graph: BarGraph, path: Path) -> list[float]:
    """For each played bar, seconds of the chart that were played of it."""
    return [
        min(played.beats_played / float(bar.beats), 1.0) * bar.seconds
        for played in path.bars
        for bar in [graph.bars[played.bar]]
    ]


def leaves(marks: Mapping[Part, float], rubric: Rubric) -> dict[Part, float]:
    """What each part that has weight leaves of the whole, 0 to 1; their product is the whole."""
    shares = {part: rubric.shares.get(part, 0.0) for part in marks}
    return {
        part: round(math.exp(-rubric.strictness * share * (1.0 - marks[part] / 100.0)), 3)
        for part, share in shares.items()
        if share > 0
    }


def mean_mark(marks: Marks, rubric: Rubric) -> float:
    """The mean of the parts, each by its weight: how much of it was right, strictness aside."""
    known = [
        (mark, share) for part, share in rubric.shares.items() if (mark := marks[part]) is not None
    ]
    total = sum(share for _, share in known)
    return sum(mark * share for mark, share in known) / total if total else 0.0


def is_counted(finding: FormFinding, rubric: Rubric) -> bool:
    """Whether a finding of the form is held against a take."""
    return finding.kind in FORM_RULES and rubric.has(FORM_RULES[finding.kind])


def price(finding: FormFinding) -> float:
    """What a finding of the form costs, in bars."""
    once, each = PRICES[finding.kind]
    return once + each * finding.count


def form_mark(form: Sequence[FormFinding], played: int, extent: Extent | None = None) -> float:
    """100 less the bars' worth of what went wrong with the form, against those of the song, and
    less the share of the song that the take does not reach.

    `played` bars stand for the song where its extent is not known.
    """
    cost = sum(map(price, form))
    bars = extent.bars if extent else played
    unreached = extent.unreached / extent.bars if extent else 0.0
    return 100.0 * max(0.0, 1.0 - unreached - cost / max(bars, SHORTEST))


def _kept(part: PartVerdict) -> float | None:
    """What of a bar's chords or basses counts as right."""
    return part.score if part.score is None or part.loss is None else 1.0 - part.loss


def _mean(scores: Sequence[tuple[float | None, float]]) -> float | None:
    known = [(score, length) for score, length in scores if score is not None]
    total = sum(length for _, length in known)
    return 100.0 * sum(score * length for score, length in known) / total if total else None
