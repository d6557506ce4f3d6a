"""What marks does a take get?

One out of a hundred for each of chord, bass, rhythm, form and touch, and one for all. A bar
counts by how much of it was to be played; bars in which the playing could not be followed
count for nothing. How much each part weighs in the whole is the rubric's to say.
"""

from collections.abc import Sequence

from evaluator.judge.rubric import STEADY, Countable, Part, Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, FormKind, Marks

WEIGHTS = STEADY.shares
"""Share of each mark in the overall one where no rubric says otherwise."""

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
) -> Marks:
    """Marks from the played bars, each with its length, from the findings of the form, and
    from the `touch`, if that can be told.

    What cannot be judged leaves its share of the overall mark to the others. That is
    reckoned from the marks as they are told, so that anybody can check it on paper.
    """
    marks: dict[Part, float | None] = {
        "chord": _mean([(bar.chord.score, length) for bar, length in bars if bar.judged]),
        "bass": _mean([(bar.bass.score, length) for bar, length in bars if bar.judged]),
        "rhythm": _mean([(bar.rhythm.score, length) for bar, length in bars if bar.judged]),
    }
    given = {part: round(mark, 1) for part, mark in marks.items() if mark is not None}
    overall = 0.0  # stays so if nothing was judged but the order of the bars
    given_form = round(form_mark([f for f in form if is_counted(f, rubric)], len(bars)), 1)
    if given:
        given["form"] = given_form
        if touch is not None:
            given["touch"] = round(touch, 1)
        shares = rubric.shares
        total = sum(shares.get(part, 0.0) for part in given)
        overall = sum(shares.get(part, 0.0) * mark for part, mark in given.items())
        overall = overall / total if total else 0.0
    return Marks(
        overall=round(overall, 1),
        chord=given.get("chord"),
        bass=given.get("bass"),
        rhythm=given.get("rhythm"),
        form=given_form,
        touch=given.get("touch"),
    )


def is_counted(finding: FormFinding, rubric: Rubric) -> bool:
    """Whether a finding of the form is held against a take."""
    return finding.kind in FORM_RULES and rubric.has(FORM_RULES[finding.kind])


def form_mark(form: Sequence[FormFinding], played: int) -> float:
    """100 less the bars' worth of what went wrong with the form, against those played."""
    cost = 0.0
    for finding in form:
        once, each = PRICES[finding.kind]
        cost += once + each * finding.count
    return 100.0 * max(0.0, 1.0 - cost / max(played, SHORTEST))


def _mean(scores: Sequence[tuple[float | None, float]]) -> float | None:
    known = [(score, length) for score, length in scores if score is not None]
    total = sum(length for _, length in known)
    return 100.0 * sum(score * length for score, length in known) / total if total else None
