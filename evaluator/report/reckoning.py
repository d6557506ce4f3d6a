"""How did the overall mark come about, and did the take pass?

The whole is 100 times what each part leaves of it (`evaluator.judge.marks`). The shares are
the rubric's; a part that could not be judged takes nothing. The numbers as they are written
are those that were reckoned with, so that anybody can check them on paper.

A take passes by its mark and by how much of the song there is in it: one that stops half-way
gets its mark for the bars that were played, and does not pass as the song.
"""

from typing import Final

from evaluator.judge.marks import leaves
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import Extent, Judgement
from evaluator.parts import AS_RECKONED, PARTS
from evaluator.report.model import Reckoning, Term
from evaluator.report.places import amount

EVIDENCE: Final = 0.5
"""Share of the song that must have been followed for a take to pass: what could not be heard
is held against nobody, and speaks for nobody either."""


def reckon(judgement: Judgement) -> Reckoning:
    """The reckoning of an overall mark; without terms for a take that is not marked."""
    marks, rubric = judgement.marks, judgement.rubric
    known = {part: mark for part in AS_RECKONED if (mark := marks[part]) is not None}
    if not judgement.matches or not any(PARTS[part].by_bars for part in known):
        known = {}  # not marked, or nothing was judged but the order of the bars
    left = leaves(known, rubric)
    extent = judgement.extent
    reached = judgement.matches and marks.overall >= rubric.pass_mark
    return Reckoning(
        rubric=rubric.name,
        about=rubric.about,
        pass_mark=rubric.pass_mark,
        passed=reached and _enough(extent, rubric),
        terms=tuple(
            Term(part, known[part], rubric.shares[part], kept) for part, kept in left.items()
        ),
        let_pass=rubric.let_pass,
        strictness=rubric.strictness,
        least_played=rubric.least_played,
        extent=extent,
    )


def _enough(extent: Extent | None, rubric: Rubric) -> bool:
    """Whether so much of the song was played, and heard, that a mark says something of it."""
    if extent is None:
        return True
    return 100.0 * extent.share >= rubric.least_played and extent.heard >= EVIDENCE


def reckoning_words(reckoning: Reckoning, *, times: str = "x") -> str:
    """`100 x 0.97 (chord 97.3) x 0.98 (form 98.1)`: the parts that leave less than all."""
    if not reckoning.terms:
        return ""
    told = [f"{one.left:g} ({one.part} {one.mark:g})" for one in reckoning.terms if one.left < 1]
    return f" {times} ".join(["100", *told])


def marked_words(reckoning: Reckoning, overall: float, *, times: str = "x") -> str:
    """`91.2 of 100 by the rubric steady: passed (the pass mark is 75)`, and the reckoning."""
    verdict = verdict_words(reckoning, overall)
    said = f"{overall:.1f} of 100{_bars(reckoning)} by the rubric {reckoning.rubric}: {verdict}."
    if all(one.left == 1 for one in reckoning.terms):
        return said
    return f"{said} It is {reckoning_words(reckoning, times=times)}."


def _bars(reckoning: Reckoning) -> str:
    """` for bars 1 to 42`, where the take does not go through the song."""
    extent = reckoning.extent
    if extent is None or not extent.unreached or not reckoning.terms:
        return ""
    if extent.first == extent.last:
        return f" for bar {extent.first}"
    return f" for bars {extent.first} to {extent.last}"


def verdict_words(reckoning: Reckoning, overall: float) -> str:
    """`passed (the pass mark is 75)`, with what is lacking where it did not."""
    if reckoning.passed:
        return f"passed (the pass mark is {reckoning.pass_mark:g})"
    short = reckoning.pass_mark - overall
    if short > 0 or reckoning.extent is None:
        return f"{short:.1f} short of the pass mark of {reckoning.pass_mark:g}"
    extent = reckoning.extent
    if 100.0 * extent.share < reckoning.least_played:
        least = f"{reckoning.least_played:g} % of the song"
        played = f"{extent.played} of its {amount(extent.bars, 'bar')}"
        return f"not passed (at least {least} must be played, and this has {played})"
    heard = f"{extent.judged} of {amount(extent.bars, 'bar')}"
    return f"not passed (only {heard} could be followed, too few to mark the song)"
