"""How does a class go into a spreadsheet?

One row a file, in CSV (RFC 4180) that spreadsheets of every country open rightly: UTF-8
with a byte order mark, every text in quotation marks, and none of them a formula.
"""

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from evaluator.parts import NAMES
from evaluator.report.class_report import ClassReport, ClassTake, Student
from evaluator.show.sanitise import cell_text

Cell = str | float | int | None


def _mark(name: str) -> Callable[[ClassTake], Cell]:
    return lambda take: take.marks.by_name[name] if take.marks else None


COLUMNS: Final[dict[str, Callable[[ClassTake], Cell]]] = {
    "file": lambda take: take.file,
    "student": lambda take: take.student,
    "status": lambda take: take.status,
    **{name: _mark(name) for name in NAMES},
    "passed": lambda take: _yes(take.passed) if take.marks else None,
    "bars missing": lambda take: take.missing if take.marks else None,
    "bars extra": lambda take: take.extra if take.marks else None,
    "restarts": lambda take: take.restarts if take.marks else None,
    "minutes": lambda take: None if take.status == "unreadable" else round(take.minutes, 1),
    "complete": lambda take: _yes(take.complete) if take.marks else None,
}
"""What stands in each column of a take; empty where there is nothing to say."""
LAST: Final = ("best", "latest", "rubric", "how the mark came about", "notes")


def gradebook(report: ClassReport) -> Iterator[bytes]:
    """The file: a row of names, then one row for each file, by student and file.

    Row by row, since a class may be large.
    """
    yield "\N{BYTE ORDER MARK}".encode() + _row([*COLUMNS, *LAST])
    for student in report.students:
        for take in student.takes:
            yield _row([_safe(cell) for cell in _cells(report, student, take)])


def _row(cells: Sequence[Cell]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, quoting=csv.QUOTE_NONNUMERIC).writerow(cells)
    return text.getvalue().encode("utf-8", errors="replace")


def _cells(report: ClassReport, student: Student, take: ClassTake) -> Iterator[Cell]:
    yield from (cell(take) for cell in COLUMNS.values())
    yield _yes(take is student.best) if take.marks else None
    yield _yes(take is student.latest) if take.marks else None
    yield report.rubric
    yield take.reckoning
    yield " ".join(_notes(take))


def _notes(take: ClassTake) -> Iterator[str]:
    if take.problem:
        yield take.problem
    if take.status == "another song":
        yield take.headline
    yield from take.notes
    if take.same_as:
        yield f"The same recording as {take.same_as}."


def _yes(true: bool) -> str:
    return "yes" if true else "no"


def _safe(cell: Cell) -> Cell:
    """A text that stays a text; nothing stays an empty cell."""
    if cell is None:
        return ""
    return cell_text(cell) if isinstance(cell, str) else cell
