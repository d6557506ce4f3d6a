"""How is a class read aloud?

One line a student, one a lesson, one a bar at which somebody stumbled, each complete in
itself: no table, no signs, nothing that depends on where it stands.
"""

from collections.abc import Iterator

from evaluator.report.class_report import ClassReport, ClassTake, HeatBar, Student
from evaluator.report.places import listed
from evaluator.show.class_table import notes, summary
from evaluator.show.glyphs import MEANINGS
from evaluator.show.page import Line, Sheet


def spoken_class(report: ClassReport, sheet: Sheet) -> Iterator[Line]:
    """The class as sentences."""
    for sentence in _sentences(report):
        yield ((sheet.text(sentence), ""),)


def _sentences(report: ClassReport) -> Iterator[str]:
    yield f"{report.chart.title}: the class."
    yield from summary(report)
    for student in report.students:
        yield from _student(student)
    for at, lesson in enumerate(report.lessons, start=1):
        yield f"Teach again, {at}: {lesson.say} It concerns {listed(lesson.names)}."
    for section in report.sections:
        for line in section.lines:
            for bar in line.bars:
                if bar.heat.stumbled:
                    yield _bar(section.label, bar)


def _student(student: Student) -> Iterator[str]:
    for take in student.takes:
        which = listed(student.which(take))
        said = f", {which}" if which else ""
        yield f"{student.name}, {take.file}{said}: {' '.join(_take(take))}"


def _take(take: ClassTake) -> Iterator[str]:
    if take.marks is not None:
        marks = [
            f"{name} {mark:.0f}" for name, mark in take.marks.by_name.items() if mark is not None
        ]
        passed = "passed" if take.passed else "not passed"
        yield f"{take.marks.overall:.1f} of 100, {passed}, {', '.join(marks)}."
        if take.missing:
            yield f"Bars missing: {take.missing}."
        if take.extra:
            yield f"Bars too many: {take.extra}."
    yield from notes(take)
    if take.problem:
        yield " ".join(take.problem.split())


def _bar(section: str, bar: HeatBar) -> str:
    on = ", ".join(f"{MEANINGS[kind]} {students}" for kind, students in bar.heat.on)
    said = f"bar {bar.number}, {section}: {bar.heat.stumbled} of {bar.heat.heard} stumbled: {on}"
    one = bar.heat.commonest
    if one is None:
        return said
    bass = "bass " if one.part == "bass" else ""
    return f"{said}; most often {bass}{one.played or 'nothing'} for {one.expected}"
