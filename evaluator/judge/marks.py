"""What marks does a take get?

One out of a hundred for each of chord, bass, rhythm and form, and one for all. A bar
counts by how much of it was to be played; bars in which the playing could not be followed
count for nothing. The weights are a teacher's order of things, common practice: see the
table.
"""

from collections.abc import Sequence

from evaluator.judge.verdict import BarVerdict, FormFinding, Marks

WEIGHTS = {
    "chord": 0.35,  # what the song is made of, and what the lesson is about
    "rhythm": 0.25,  # the pattern is learnt once and then goes by itself
    "form": 0.20,  # a lost bar throws out everyone who plays along
    "bass": 0.20,  # one finger, but it decides how the chord sounds
}
"""Share of each mark in the overall one; what cannot be judged leaves its share to the others."""

BAR_COST = 1.0
"""A bar missing or too many takes away itself,"""
FINDING_COST = 2.0
"""and the confusion about it counts as so many bars more."""
RESTART_COST = 1.5
"""Bars that a restart costs; one gets going again and loses no place in the song."""
RESTART_BAR_COST = 0.25
"""For each bar that it plays again."""
BREAK_COST = 0.5
SHORTEST = 16
"""Bars: in a shorter take one slip does not cost more than in this one."""


def give_marks(bars: Sequence[tuple[BarVerdict, float]], form: Sequence[FormFinding]) -> Marks:
    """Marks from the played bars, each with its length, and from the findings of the form."""
    marks = {
        "chord": _mean([(bar.chord.score, length) for bar, length in bars if bar.judged]),
        "bass": _mean([(bar.bass.score, length) for bar, length in bars if bar.judged]),
        "rhythm": _mean([(bar.rhythm.score, length) for bar, length in bars if bar.judged]),
        "form": form_mark(form, len(bars)),
    }
    given = {name: mark for name, mark in marks.items() if mark is not None}
    total = sum(WEIGHTS[name] for name in given)
    overall = sum(WEIGHTS[name] * mark for name, mark in given.items()) / total
    if len(given) == 1:
        overall = 0.0  # nothing was judged but the order of the bars
    return Marks(
        overall=round(overall, 1),
        chord=_rounded(marks["chord"]),
        bass=_rounded(marks["bass"]),
        rhythm=_rounded(marks["rhythm"]),
        form=round(form_mark(form, len(bars)), 1),
    )


def form_mark(form: Sequence[FormFinding], played: int) -> float:
    """100 less the bars' worth of what went wrong with the form, against those played."""
    cost = 0.0
    for finding in form:
        if finding.kind in ("missing", "extra"):
            cost += FINDING_COST + BAR_COST * finding.count
        elif finding.kind == "restart":
            cost += RESTART_COST + RESTART_BAR_COST * finding.count
        elif finding.kind == "break":
            cost += BREAK_COST
    return 100.0 * max(0.0, 1.0 - cost / max(played, SHORTEST))


def _mean(scores: Sequence[tuple[float | None, float]]) -> float | None:
    known = [(score, length) for score, length in scores if score is not None]
    total = sum(length for _, length in known)
    return 100.0 * sum(score * length for score, length in known) / total if total else None


def _rounded(mark: float | None) -> float | None:
    return None if mark is None else round(mark, 1)
