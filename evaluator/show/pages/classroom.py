"""What does a teacher see of a class?

One page: what to teach again, the song with the number of students who stumbled at each
bar, and everybody's marks with the way to the take's own page.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median
from typing import Final
from urllib.parse import quote

from evaluator.parts import PARTS
from evaluator.report.class_heat import heat_told
from evaluator.report.class_report import (
    ClassReport,
    ClassTake,
    Exchange,
    HeatBar,
    Student,
)
from evaluator.report.places import amount, listed
from evaluator.show.class_table import common_folder
from evaluator.show.pages.render import render
from evaluator.show.pages.song_bars import Mark, mark, pieces

LEVELS: Final = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the students up to which a bar is tinted so much; the number says it exactly."""
STATUS: Final = {"another song": "another song", "unreadable": "could not be read"}


@dataclass(frozen=True, slots=True)
class ClassBar:
    """A bar of the chart and how many stumbled there."""

    number: int
    pieces: tuple[tuple[str, bool], ...]
    level: int
    """0 for nobody to 4 for nearly everybody."""
    heard: int
    stumbled: int
    on: tuple[tuple[Mark, int], ...]
    instead: str
    """The commonest wrong chord or bass."""


@dataclass(frozen=True, slots=True)
class TakeRow:
    """One take in the list of marks."""

    file: str
    href: str
    which: str
    """`best`, `latest`, both or neither, where there are several."""
    marks: tuple[float | None, ...] | None
    """The whole and each part; None where nothing is marked."""
    passed: bool
    notes: str


def class_page(report: ClassReport) -> str:
    """The page as HTML; its links go to the takes' pages in the same folder.

    Raises `UsageError` where jinja2 is not installed.
    """
    lines = (line for section in report.sections for line in section.lines)
    used = {mark(kind) for line in lines for bar in line.bars for kind, _ in bar.heat.on}
    folder = common_folder([take.file for take in report.takes])
    rows = [(student.name, tuple(_rows(student, folder))) for student in report.students]
    return render(
        "class.html",
        script="",
        report=report,
        summary=_summary(report),
        class_bar=_bar,
        heat_told=heat_told,
        legend=sorted(used, key=lambda one: one.means),
        parts=tuple(PARTS),
        rows=rows,
        fallen=any(row.marks and not row.passed for _, takes in rows for row in takes),
        listed=listed,
    )


def _summary(report: ClassReport) -> str:
    best, marks = report.best, report.best_marks
    said = f"{amount(len(report.students), 'student')}, {amount(len(report.takes), 'take')}"
    if not marks:
        return f"{said.capitalize()}; none could be marked."
    passed = sum(take.passed for take in best)
    return (
        f"{said.capitalize()}. By the best take of each, {passed} of {len(best)} passed (the pass "
        f"mark is {report.pass_mark:g}); half of them have {median(marks):.0f} or more."
    )


def _bar(bar: HeatBar) -> ClassBar:
    heat = bar.heat
    share = heat.stumbled / heat.heard if heat.heard else 0.0
    return ClassBar(
        number=bar.number,
        pieces=pieces(bar.text),
        level=next(level for level, most in enumerate(LEVELS) if share <= most),
        heard=heat.heard,
        stumbled=heat.stumbled,
        on=tuple((mark(kind), students) for kind, students in heat.on),
        instead=_instead(heat.commonest),
    )


def _instead(exchange: Exchange | None) -> str:
    if exchange is None:
        return ""
    played = exchange.played or "nothing"
    said = f"{played} for {exchange.expected}"
    return f"bass {said}" if exchange.part == "bass" else said


def _rows(student: Student, folder: str) -> Iterator[TakeRow]:
    for take in student.takes:
        yield TakeRow(
            file=take.file.removeprefix(folder),
            href=f"./{quote(take.page, safe='')}" if take.page else "",
            which=listed(student.which(take)),
            marks=tuple(take.marks.by_name.values()) if take.marks else None,
            passed=take.passed,
            notes="; ".join(_notes(take, folder)),
        )


def _notes(take: ClassTake, folder: str) -> Iterator[str]:
    """What became of the form, and what has to be known to read the marks."""
    if take.status in STATUS:
        yield f"{take.file.removeprefix(folder)}: {STATUS[take.status]}"
    counts = (
        (take.missing, f"{amount(take.missing, 'bar')} missing"),
        (take.extra, f"{amount(take.extra, 'bar')} too many"),
        (take.restarts, amount(take.restarts, "restart")),
    )
    yield from (say for count, say in counts if count)
    yield from (note.rstrip(".") for note in (take.problem, *take.notes) if note)
    if take.same_as:
        yield f"the same recording as {take.same_as.removeprefix(folder)}"
