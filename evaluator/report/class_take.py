"""What of one take does its class need to know?

The marks, the counts and everything the student stumbled on, bar by bar; the report
itself, many times as large, is let go. A bar that came twice counts as it was played the
last time; what cannot be followed counts neither way.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final, get_args

from evaluator.chart.graph import BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from evaluator.report.class_report import ClassTake, Stumble, StumbleKind
from evaluator.report.class_words import STOPS, UNSURE
from evaluator.report.faults import CASE_KINDS, Trouble, troubles
from evaluator.report.form_told import cost
from evaluator.report.model import Report
from evaluator.report.places import amount, main_bar
from evaluator.report.reckoning import reckoning_words

FOLLOWED: Final = 0.75
"""Share of the bars that must have been followed in a take from which to see what to teach,"""
ASTRAY: Final = ("missing", "extra", "restart")
FEW_ASTRAY, ASTRAY_SHARE = 4, 0.15
"""findings of these kinds, fewer than so many or a smaller share of its bars,"""
HALF_RIGHT: Final = 50.0
"""and mark for the chords. Common practice, no source."""

KINDS: Final[dict[str, StumbleKind]] = {kind: kind for kind in get_args(StumbleKind)}


def class_take(
    graph: BarGraph, judgement: Judgement, report: Report, *, student: str, file: str
) -> ClassTake:
    """One take as its class needs it."""
    kept = ClassTake(
        student=student,
        file=file,
        status="another song",
        headline=report.headline,
        minutes=report.take.seconds / 60,
        notes=report.remarks,
    )
    if not report.matches:
        return kept
    form, rubric = judgement.form, judgement.rubric
    last = _last(judgement.bars)
    gone = {n for f in form if f.kind == "missing" for n in f.bars}
    return replace(
        kept,
        status="graded",
        marks=report.marks,
        passed=report.reckoning.passed,
        reckoning=reckoning_words(report.reckoning),
        missing=_count(form, "missing"),
        extra=_count(form, "extra"),
        restarts=sum(finding.kind == "restart" for finding in form),
        complete=report.take.complete,
        sure=(sure := _is_sure(judgement)),
        notes=(*_notes(report), *(() if sure else (UNSURE,))),
        heard=frozenset({v.bar for v in last} | {main_bar(graph, n).index for n in gone}),
        stumbles=(*_in_bars(graph, last, rubric), *_in_form(graph, form, rubric)),
    )


def unread_take(*, student: str, file: str, problem: str) -> ClassTake:
    """A file from which no take could be read."""
    return ClassTake(student=student, file=file, status="unreadable", problem=problem)


def _last(bars: Sequence[BarVerdict]) -> list[BarVerdict]:
    return list({verdict.bar: verdict for verdict in bars if verdict.judged}.values())


def _count(form: Iterable[FormFinding], kind: str) -> int:
    return sum(finding.count for finding in form if finding.kind == kind)


def _notes(report: Report) -> tuple[str, ...]:
    """The remarks, and that the take stops early, which only the headline says."""
    if report.take.complete:
        return report.remarks
    reached = report.bars[-1]
    played = len({bar.number for bar in report.bars})
    stops = STOPS.format(
        section=reached.section,
        number=reached.number,
        played=played,
        bars=amount(report.chart.bars, "bar"),
        were="was" if played == 1 else "were",
    )
    return (stops, *report.remarks)


def _is_sure(judgement: Judgement) -> bool:
    """Whether a take can show what to teach: most of it was followed, and on the whole it went
    through this song. What is wrong throughout is another piece, or was followed wrongly."""
    bars, chord = judgement.bars, judgement.marks["chord"]
    followed = sum(bar.judged for bar in bars) >= FOLLOWED * len(bars)
    astray = sum(finding.kind in ASTRAY for finding in judgement.form)
    on_the_way = astray < max(FEW_ASTRAY, ASTRAY_SHARE * len(bars))
    return followed and on_the_way and (chord is None or chord >= HALF_RIGHT)


def _in_bars(graph: BarGraph, bars: Iterable[BarVerdict], rubric: Rubric) -> Iterator[Stumble]:
    for verdict in bars:
        for trouble in troubles(verdict, graph, rubric):
            if trouble.kind in KINDS:  # what was put right at once is no stumble
                yield _stumble(trouble)


def _stumble(trouble: Trouble) -> Stumble:
    kind = KINDS[CASE_KINDS[trouble.case]]
    return Stumble(trouble.bar.index, kind, trouble.cost, trouble.case, trouble.words)


def _in_form(graph: BarGraph, form: Iterable[FormFinding], rubric: Rubric) -> Iterator[Stumble]:
    for finding in form:
        worth = cost(finding, rubric)
        if worth == 0:
            continue
        numbers = finding.bars[:1] if finding.kind == "restart" else finding.bars
        for number in numbers:
            kind = KINDS[finding.kind]
            bar = main_bar(graph, number).index
            yield Stumble(bar, kind, worth / len(numbers), finding.kind)
