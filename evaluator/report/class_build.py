"""What is the report on this class?

Files are gathered under their students, best and latest take kept apart; then the class
is looked at as a whole, each student counted once by the best take of this song, if that could
be followed, and one recording that several handed in counted once. The files may come in any order.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from unicodedata import combining, normalize

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
    ordered = sorted(takes, key=lambda take: (natural(take.student), _by_file(take)))
    students = _students(ordered)
    ordered = [take for student in students for take in student.takes]
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
    """Sorts `take 2` before `take 10`, as people do, and letters with their capitals and accents.

    What differs in nothing else is put in a fixed order all the same.
    """
    pieces = [
        (0, len(piece.lstrip("0")), piece.lstrip("0")) if piece.isdigit() else (1, 0, piece)
        for piece in _DIGITS.split(_plain(text))
        if piece
    ]
    return (*pieces, (-1, 0, ""), (1, 0, text))


def _by_file(take: ClassTake) -> tuple[tuple[tuple[int, int, str], ...], str]:
    """Sorts `Lantern.mid` before `lantern take 2.MID`: by the name without its ending."""
    path = take.file.replace("\\", "/")
    folder, _, name = path.rpartition("/")
    stem = name.rpartition(".")[0] or name
    return natural(f"{folder}/{stem}" if folder else stem), path


def _plain(text: str) -> str:
    """A text without case and accents."""
    parts = normalize("NFKD", text.casefold())
    return "".join(sign for sign in parts if not combining(sign))


def _same(name: str) -> str:
    """Equal for a name however it is spelt: with or without capitals, accents and spaces."""
    return "".join(_plain(name).split()) or name


def _students(ordered: Sequence[ClassTake]) -> tuple[Student, ...]:
    by_name: dict[str, list[ClassTake]] = {}
    for take in ordered:
        by_name.setdefault(_same(take.student), []).append(take)
    return tuple(_student(takes) for takes in by_name.values())


def _student(takes: Sequence[ClassTake]) -> Student:
    name = _name([take.student for take in takes])
    by_file = [replace(take, student=name) for take in sorted(takes, key=_by_file)]
    graded = [take for take in by_file if take.marks is not None]
    return Student(
        name=name,
        takes=tuple(by_file),
        best=max(graded, key=_overall, default=None),
        latest=graded[-1] if graded else None,
    )


def _name(spelt: Sequence[str]) -> str:
    """The name as it is most often spelt; of equals the one with most capitals and accents."""
    often = Counter(spelt)

    def signs(name: str) -> int:
        return sum(map(str.isupper, name)) + sum(map(bool, map(combining, normalize("NFD", name))))

    return min(often, key=lambda name: (-often[name], -signs(name), natural(name)))


def _overall(take: ClassTake) -> float:
    return take.marks.overall if take.marks is not None else 0.0


def _counted(students: Iterable[Student]) -> list[ClassTake]:
    """One take a student, and each recording once."""
    counted: dict[str, ClassTake] = {}
    for student in students:
        if student.best is not None and student.best.sure:
            counted.setdefault(student.best.same_as or student.best.file, student.best)
    return list(counted.values())
