"""How does a class look in a terminal?

Everybody's marks in a table by name, with what has to be known beside them; what could
not be read; what to teach again; and the song with how many stumbled where. What does not
fit into the width of the terminal is left out from the right, never the name or the mark.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import median
from typing import Final

from evaluator.chart.mistakes import plural
from evaluator.parts import PARTS, Part
from evaluator.report.class_report import ClassReport, ClassTake, Student
from evaluator.report.places import amount, capital, listed
from evaluator.show.class_song import class_song
from evaluator.show.page import PROSE, Line, Sheet, Style, cells, padded, paragraph, wrapped

WIDEST_NAME: Final = 28
NARROWEST_NAME: Final = 12
GAP: Final = 2


@dataclass(frozen=True, slots=True)
class Column:
    """Numbers under a title, to the right of their column."""

    title: str
    of: Callable[[ClassTake], str]


def _marks(*, by_choice: bool) -> Iterator[Column]:
    """A column for each part of the mark."""
    for part, row in PARTS.items():
        if row.by_choice == by_choice:
            yield Column(part.capitalize(), partial(_mark, part))


def _mark(part: Part, take: ClassTake) -> str:
    mark = take.marks[part] if take.marks else None
    return "" if mark is None else f"{mark:.0f}"


COLUMNS: Final = (
    Column("Mark", lambda take: f"{take.marks.overall:.1f}" if take.marks else ""),
    Column("Bars", lambda take: _bars(take)),
    *_marks(by_choice=False),
    Column("Min", lambda take: f"{take.minutes:.1f}"),
    *_marks(by_choice=True),
)
"""In the order in which they are kept when the terminal is narrow."""
BARS_WIDTH: Final = 7
ROOM_FOR_FILE: Final = 20
"""Cells to the right of the columns from which on the file stands there, too."""
STATUS: Final = {
    "another song": "Another song: nothing is marked.",
    "unreadable": "Could not be read.",
}


def class_page(report: ClassReport, sheet: Sheet) -> Iterator[Line]:
    """The class as lines, none wider than the sheet."""
    prose = min(sheet.width, PROSE)
    yield from paragraph(sheet.text(f"{report.chart.title}: the class"), sheet.width, style="title")
    for sentence in summary(report):
        yield from paragraph(sheet.text(sentence), prose)
    yield ()
    yield from _table(report, sheet)
    yield from _unreadable(report, sheet)
    yield from _lessons(report, sheet, prose)
    if report.counted:
        yield ()
        yield (("Where the class stumbles", "head"),)
        yield from class_song(report, sheet)


def summary(report: ClassReport) -> Iterator[str]:
    """How many came, how many passed and by what; who is not there yet, who is missing."""
    came = f"{plural(len(report.students), 'student')}, {plural(len(report.takes), 'take')}"
    best, marks = report.best, report.best_marks
    yield f"{came}; rubric: {report.rubric}, pass mark {report.pass_mark:g}."
    if marks:
        passed = sum(take.passed for take in best)
        half = f"; half of them have {median(marks):.0f} or more" if len(marks) > 2 else ""
        yield f"By their best takes {passed} of {len(best)} passed{half}."
    below = [take.student for take in best if not take.passed]
    if below:
        yield f"Not there yet: {listed(below)}."
    if report.absent:
        yield f"Nothing came from {listed(report.absent)}."


def _table(report: ClassReport, sheet: Sheet) -> Iterator[Line]:
    widest = max((cells(sheet.text(s.name)) for s in report.students), default=0)
    folder = common_folder([take.file for take in report.takes])
    columns = _columns(sheet.width)
    taken = sum(_width(column) for column in columns)
    name = max(min(widest, sheet.width - taken, WIDEST_NAME), NARROWEST_NAME)
    room = sheet.width - name - taken - GAP
    file = room if room >= ROOM_FOR_FILE else 0
    head = padded("Student", name) + "".join(c.title.rjust(_width(c)) for c in columns)
    yield ((head + ("  File" if file else ""), "head"),)
    table = _Table(sheet, folder, columns, name, file)
    for student in report.students:
        yield from _rows(student, table)


@dataclass(frozen=True, slots=True)
class _Table:
    """Where the marks of a class stand."""

    sheet: Sheet
    folder: str
    """Of all files; it is not told with each."""
    columns: tuple[Column, ...]
    name: int
    """Cells of a name,"""
    file: int
    """and of a file; 0 where there is no room for it."""


def common_folder(files: Sequence[str]) -> str:
    """The folder that all of them lie in, which need not be told with each."""
    first, last = min(files, default=""), max(files, default="")
    alike = next((at for at, sign in enumerate(first) if last[at : at + 1] != sign), len(first))
    return first[: max(first.rfind(sign, 0, alike) for sign in "/\\") + 1]


def _columns(width: int) -> tuple[Column, ...]:
    """As many as leave room for the names."""
    kept: list[Column] = []
    for column in COLUMNS:
        if sum(map(_width, (*kept, column))) + NARROWEST_NAME > width:
            break
        kept.append(column)
    # The bars are kept early and stand late: the marks belong together.
    kept.sort(key=lambda column: column.title in ("Bars", "Min"))
    return tuple(kept)


def _width(column: Column) -> int:
    return GAP + (BARS_WIDTH if column.title == "Bars" else max(len(column.title), 5))


def _bars(take: ClassTake) -> str:
    """`-2 +1`: bars missing and bars too many."""
    told = [f"-{take.missing}"] if take.missing else []
    told += [f"+{take.extra}"] if take.extra else []
    return " ".join(told)


def _rows(student: Student, table: _Table) -> Iterator[Line]:
    sheet = table.sheet
    shown = student.best or student.takes[-1]
    names = wrapped(sheet.text(student.name), table.name)
    for at, row in enumerate(names):
        if at == 0:
            yield from _row(row, shown, table)
        else:
            yield ((row, ""),)
    if student.latest is not None and student.latest is not student.best:
        yield from _row("  latest", student.latest, table)
    several = len(student.takes) > 1
    for take in student.takes:
        told = " ".join(notes(take))
        if several and (told or not table.file):
            which = f"{listed(words)}: " if (words := student.which(take)) else ""
            told = f"{which}{take.file.removeprefix(table.folder)}{': ' if told else ''}{told}"
        if told:
            style: Style = "form" if take.status != "graded" else "faint"
            yield from paragraph(sheet.text(told), sheet.width, first="    ", style=style)


def _row(name: str, take: ClassTake, table: _Table) -> Iterator[Line]:
    if take.marks is None:
        yield ((name, ""),)
        return
    numbers = "".join(column.of(take).rjust(_width(column)) for column in table.columns)
    pieces: list[tuple[str, Style]] = [
        (padded(name, table.name), "faint" if name.startswith(" ") else ""),
        (numbers, "good" if take.passed else "chord"),
    ]
    if table.file:
        shown = wrapped(table.sheet.text(take.file.removeprefix(table.folder)), table.file)
        pieces.append((f"  {shown[0]}", "faint"))
        yield tuple(pieces)
        before = " " * (table.name + cells(numbers) + GAP)
        yield from (((before, ""), (row, "faint")) for row in shown[1:])
        return
    yield tuple(pieces)


def notes(take: ClassTake) -> Iterator[str]:
    """What has to be known to read a row, in sentences."""
    if take.status in STATUS:
        yield STATUS[take.status]
    if take.restarts:
        yield f"{capital(amount(take.restarts, 'restart'))}."
    yield from take.notes
    if take.same_as:
        yield f"The same recording as {take.same_as}."


def _unreadable(report: ClassReport, sheet: Sheet) -> Iterator[Line]:
    if not report.unreadable:
        return
    yield ()
    yield (("Could not be read", "head"),)
    for take in report.unreadable:
        told = take.problem.replace("\n", " ")
        where = "" if take.file in told else f"{take.file}: "
        yield from paragraph(sheet.text(where + told), sheet.width, first="  ")


def _lessons(report: ClassReport, sheet: Sheet, prose: int) -> Iterator[Line]:
    if report.counted < 2:
        return
    yield ()
    yield (("Teach this again", "head"),)
    if not report.lessons:
        yield from paragraph("Nothing that more than one student needs.", prose, first="  ")
    for at, lesson in enumerate(report.lessons, start=1):
        yield from paragraph(sheet.text(lesson.say), prose, first=f"  {at}. ")
        names = listed(lesson.names)
        yield from paragraph(sheet.text(names), prose, first="     ", style="faint")
