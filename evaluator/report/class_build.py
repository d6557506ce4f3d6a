"""What is the report on this class?

Files are gathered under their students, best and latest take kept apart; then the class
is looked at as a whole, each student counted once by the best take of this song, and one
recording that several handed in counted once. The files may come in any order.
"""

import re
from collections.abc import Iterable, Sequence

from evaluator.chart.graph import BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.report.class_heat import class_heat
from evaluator.report.class_lessons import class_lessons
from evaluator.report.class_report import ClassReport, ClassTake, Student
from evaluator.report.model import ChartFacts

_DIGITS = re.compile(r"(\d+)")


def build_class(
    graph: BarGraph,
    takes: Iterable[ClassTake],
    rubric: Rubric,
    *,
    chart_file: str = "",
    roster: Iterable[str] = (),
) -> ClassReport:
    """The report on everything that was handed in; `roster` are the names that were expected."""
    ordered = sorted(takes, key=lambda take: (natural(take.student), natural(take.file)))
    students = _students(ordered)
    counted = _counted(students)
    came = {_same(student.name) for student in students}
    return ClassReport(
        chart=ChartFacts(graph.title, chart_file, graph.count),
        rubric=rubric.name,
        pass_mark=rubric.pass_mark,
        least_played=rubric.least_played,
        students=students,
        unreadable=tuple(take for take in ordered if take.status == "unreadable"),
        absent=tuple(sorted({name for name in roster if _same(name) not in came}, key=natural)),
        counted=len(counted),
        sections=class_heat(graph, counted),
        lessons=class_lessons(graph, counted),
    )


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sorts `take 2` before `take 10`, as people do, and small letters with capitals.

    What differs in nothing but case is put in a fixed order all the same.
    """
    pieces = [
        (0, len(piece.lstrip("0")), piece.lstrip("0")) if piece.isdigit() else (1, 0, piece)
        for piece in _DIGITS.split(text.casefold())
        if piece
    ]
    return (*pieces, (-1, 0, ""), (1, 0, text))


def _same(name: str) -> str:
    return " ".join(name.casefold().split())


def _students(ordered: Sequence[ClassTake]) -> tuple[Student, ...]:
    by_name: dict[str, list[ClassTake]] = {}
    for take in ordered:
        by_name.setdefault(_same(take.student), []).append(take)
    return tuple(_student(takes) for takes in by_name.values())


def _student(takes: Sequence[ClassTake]) -> Student:
    by_file = sorted(takes, key=lambda take: natural(take.file))
    graded = [take for take in by_file if take.marks is not None]
    return Student(
        name=takes[0].student,
        takes=tuple(by_file),
        best=max(graded, key=_overall, default=None),
        latest=graded[-1] if graded else None,
    )


def _overall(take: ClassTake) -> float:
    return take.marks.overall if take.marks is not None else 0.0


def _counted(students: Iterable[Student]) -> list[ClassTake]:
    """One take a student, and each recording once."""
    counted: dict[str, ClassTake] = {}
    for student in students:
        if student.best is not None:
            counted.setdefault(student.best.same_as or student.best.file, student.best)
    return list(counted.values())
