"""How did the overall mark come about?

Each part's mark times its share of the whole. The shares are the rubric's; a part that
could not be judged leaves its share to the others. The numbers as they are written are
those that were reckoned with, so that anybody can check them on paper.
"""

from evaluator.judge.rubric import PARTS, Rubric
from evaluator.judge.verdict import Marks
from evaluator.report.model import Reckoning, Term


def reckon(marks: Marks, rubric: Rubric, *, matches: bool) -> Reckoning:
    """The sum behind an overall mark; without terms for a take that is not marked."""
    known = {part: getattr(marks, part) for part in PARTS}
    shares = {
        part: rubric.shares.get(part, 0.0) for part, mark in known.items() if mark is not None
    }
    if not matches or set(shares) <= {"form", "touch"}:
        shares = {}  # not marked, or nothing was judged but the order of the bars
    total = sum(shares.values())
    return Reckoning(
        rubric=rubric.name,
        about=rubric.about,
        pass_mark=rubric.pass_mark,
        passed=matches and marks.overall >= rubric.pass_mark,
        terms=tuple(
            Term(part, known[part], share / total) for part, share in shares.items() if share > 0
        ),
        let_pass=rubric.let_pass,
    )


def reckoning_words(reckoning: Reckoning, *, times: str = "x") -> str:
    """`chord 97.3 x 0.35 + rhythm 81.6 x 0.25 + form 100 x 0.2 + bass 89.1 x 0.2`."""
    return " + ".join(
        f"{term.part} {term.mark:g} {times} {term.share:.4g}" for term in reckoning.terms
    )


def marked_words(reckoning: Reckoning, overall: float, *, times: str = "x") -> str:
    """`91.2 of 100 by the rubric steady: passed (the pass mark is 65)`, and the sum."""
    verdict = verdict_words(reckoning, overall)
    said = f"{overall:.1f} of 100 by the rubric {reckoning.rubric}: {verdict}."
    words = reckoning_words(reckoning, times=times)
    return f"{said} It is {words}." if words else said


def verdict_words(reckoning: Reckoning, overall: float) -> str:
    """`passed (the pass mark is 65)`, with the distance where it was not reached."""
    if reckoning.passed:
        return f"passed (the pass mark is {reckoning.pass_mark:g})"
    short = reckoning.pass_mark - overall
    return f"{short:.1f} short of the pass mark, {reckoning.pass_mark:g}"
