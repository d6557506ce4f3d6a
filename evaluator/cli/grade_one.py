"""How was this take played?

The report on it, on the screen and in the files that are wanted. Nothing that only a class
needs is loaded: somebody waits for this at the piano.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from evaluator.batch.safely import safely
from evaluator.batch.students import student_of
from evaluator.cli.files import FileError, inside, read_take_bytes, shown, write_text
from evaluator.cli.grade_words import ChartFile, Wanted
from evaluator.cli.kept import keep
from evaluator.cli.naming import CLASS_PAGE, is_named, page_name, played_at
from evaluator.cli.put import Outlet, outlet, ready_for_pages
from evaluator.cli.rubrics import load_roster, load_rubric
from evaluator.cli.say import say_error
from evaluator.excerpt.song import Song
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.rubric import Rubric

if TYPE_CHECKING:
    from evaluator.batch.students import Roster
    from evaluator.report.class_report import ClassTake


def grade_one(chart: ChartFile, path: str, wanted: Wanted) -> int:
    """Grade a take against a chart; 1 if the take could not be read."""
    song = prepare(
        chart.text,
        chart_file=shown(chart.path),
        hand=wanted.hand,
        channel=wanted.channel,
        bars=wanted.bars,
        section=wanted.section,
    )
    rubric, roster = load_rubric(wanted.rubric), load_roster(wanted.roster)
    if wanted.html is not None:
        ready_for_pages(wanted.html)
    name = shown(path)
    student = wanted.student or student_of(name, roster)
    content, problem = _content(path)
    graded = None
    if not problem:
        graded, problem = safely(grade_fully, song, content, take_file=name, rubric=rubric)
    with outlet() as out:
        if graded is None:
            say_error(problem if name in problem else f"{name}: {problem}")
        elif wanted.html is not None:
            _write_page(graded, path, student, wanted.html)
        out.put(
            (None if graded is None else wanted.json, lambda: _document(graded)),
            (
                wanted.csv,
                lambda: _gradebook(
                    song, _row(song, graded, student, name, problem), rubric, roster
                ),
            ),
        )
        if graded is not None:
            _tell(graded, wanted, out)
            if wanted.history:
                student = student if wanted.student or is_named(path, roster) else ""
                keep(
                    graded.report,
                    chart.text,
                    content,
                    student=student,
                    played_at=played_at(path),
                )
    return 0 if graded is not None else 1


def _content(path: str) -> tuple[bytes, str]:
    """The bytes of the take, or why there are none."""
    try:
        return read_take_bytes(path), ""
    except FileError as error:
        return b"", str(error)


def _tell(graded: Graded, wanted: Wanted, out: Outlet) -> None:
    if not wanted.silent:
        from evaluator.show.terminal import print_report

        out.tell(lambda stream: print_report(graded.report, stream, plain=wanted.plain))


def _write_page(graded: Graded, path: str, student: str, folder: str) -> None:
    from evaluator.show.pages import take_page

    page = take_page(graded, student=student)
    write_text(inside(folder, page_name(path, {CLASS_PAGE})), page, private=True)


def _document(graded: Graded | None) -> list[bytes]:
    from evaluator.report.json import to_json

    return [] if graded is None else [to_json(graded.report).encode("ascii")]


def _row(song: Song, graded: Graded | None, student: str, name: str, problem: str) -> "ClassTake":
    """What a class knows of the take; `problem`: why it could not be read."""
    from evaluator.report.class_take import class_take, unread_take

    if graded is None:
        return unread_take(student=student, file=name, problem=problem)
    return class_take(song.graph, graded.judgement, graded.report, student=student, file=name)


def _gradebook(song: Song, take: "ClassTake", rubric: Rubric, roster: "Roster") -> Iterator[bytes]:
    """The take as a class of one."""
    from evaluator.report.class_build import build_class
    from evaluator.show.gradebook import gradebook

    names = [row.name for row in roster]
    return gradebook(build_class(song.graph, [take], rubric, chart_file=song.file, roster=names))
