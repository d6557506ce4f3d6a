"""`evaluator grade CHART TAKE_OR_FOLDER...`: how were these takes played?

The chart is read once; each take is then read, judged and reported for itself, and one
that cannot be read does not stop the others. One take gets its report; several are a
class: a table of everybody's marks and what to teach again, with the single reports on
demand. The answer is the same in whatever order the files are given and on however many
cores they are graded.
"""

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import (
    are_swapped,
    check_not_input,
    read_chart_text,
    shown,
    write_pieces,
    write_text,
)
from evaluator.cli.say import say_error
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.batch.class_run import ClassSetting, Outcome
    from evaluator.batch.students import Roster
    from evaluator.chart.graph import BarGraph, Hand
    from evaluator.cli.folders import Found
    from evaluator.cli.spool import Spool
    from evaluator.history.entry import Entry
    from evaluator.judge.rubric import Rubric
    from evaluator.report.class_report import ClassReport, ClassTake

EXAMPLE: Final = """\
examples:
  evaluator grade kettle_lane.txt monday.mid
  evaluator grade kettle_lane.txt class/ --csv class.csv --html pages/
  evaluator grade kettle_lane.txt class/ --rubric first-steps --roster roster.csv
  evaluator grade kettle_lane.txt loop.mid --bars 5-8 --hand left --student Anna

The student of a file is what stands before " - " in its name, else the name. Of several
takes of a student the best and the latest are told; the latest is the last by file name.
"""
STANDARD_OUTPUT: Final = "-"


@dataclass(frozen=True, slots=True)
class Wanted:
    """By what to grade, and what to tell and to write."""

    plain: bool = False
    reports: bool = False
    json: str | None = None
    csv: str | None = None
    html: str | None = None
    rubric: str | None = None
    roster: str | None = None
    jobs: int | None = None
    hand: "Hand | None" = None
    bars: str | None = None
    section: str | None = None
    student: str | None = None
    history: bool = False
    """Whether the takes are kept in the history."""

    @property
    def silent(self) -> bool:
        """Whether the standard output belongs to a file."""
        return STANDARD_OUTPUT in (self.json, self.csv)


def run(words: Sequence[str]) -> int:
    """Grade, print and write; 1 if a take could not be read or a file not written."""
    options = _parser().parse_args(words)
    if options.json == options.csv == STANDARD_OUTPUT:
        raise UsageError("Only one of --json and --csv can go to the standard output.")
    given = [options.chart, *options.takes, *filter(None, (options.rubric, options.roster))]
    for path in (options.json, options.csv):
        if path not in (None, STANDARD_OUTPUT):
            check_not_input(path, given)
    wanted = Wanted(
        plain=options.plain,
        reports=options.reports,
        json=options.json,
        csv=options.csv,
        html=options.html,
        rubric=options.rubric,
        roster=options.roster,
        jobs=options.jobs,
        hand=options.hand,
        bars=options.bars,
        section=options.section,
        student=options.student,
        history=not options.no_history,
    )
    return grade_files(options.chart, options.takes, wanted)


def grade_files(chart: str, paths: Sequence[str], wanted: Wanted) -> int:
    """The same with the options read."""
    if are_swapped(chart, paths[0]):
        raise UsageError(
            f"{shown(chart)} is a MIDI file and {shown(paths[0])} is text: "
            "the chart comes first, then the takes."
        )
    text = read_chart_text(chart)
    from evaluator.cli.folders import find_takes
    from evaluator.cli.rubrics import load_roster, load_rubric
    from evaluator.cli.spool import Spool
    from evaluator.grading import prepare

    graph = prepare(
        text,
        chart_file=shown(chart),
        hand=wanted.hand,
        bars=wanted.bars,
        section=wanted.section,
    ).graph
    rubric, roster = load_rubric(wanted.rubric), load_roster(wanted.roster)
    apart = (chart, wanted.json, wanted.csv, wanted.roster, wanted.rubric)
    found = find_takes(paths, known=filter(None, apart))
    for path in (wanted.json, wanted.csv):
        if path not in (None, STANDARD_OUTPUT):
            check_not_input(path, list(found.takes))
    one = len(paths) == 1 and not os.path.isdir(paths[0])
    for problem in found.problems:
        say_error(problem)
    if not found.takes:
        return 1
    with ExitStack() as open_files:
        spool = open_files.enter_context(Spool())
        setting = _setting(text, shown(chart), rubric, wanted, one=one)
        entries: list[Entry] = []
        takes = _graded(setting, found, roster, wanted, (spool, entries))
        report = _class_report(graph, takes, setting, roster)
        _tell(report, found, wanted, one=one)
        _write(report, spool, wanted, one=one)
        _keep(entries, found, roster, wanted, one=one)
    return 1 if found.problems or report.unreadable else 0


def _setting(
    text: str, chart: str, rubric: "Rubric", wanted: Wanted, *, one: bool
) -> "ClassSetting":
    from evaluator.batch.class_run import ClassSetting

    if wanted.html is not None:
        from evaluator.cli.pages import ready_for_pages

        ready_for_pages(wanted.html)
    return ClassSetting(
        chart_text=text,
        chart_file=chart,
        rubric=rubric,
        reports=(one or wanted.reports) and not wanted.silent,
        documents=wanted.json is not None,
        pages=wanted.html is not None,
        kept=wanted.history,
        hand=wanted.hand,
        bars=wanted.bars,
        section=wanted.section,
    )


def _graded(
    setting: "ClassSetting",
    found: "Found",
    roster: "Roster",
    wanted: Wanted,
    aside: tuple["Spool", list["Entry"]],
) -> list["ClassTake"]:
    """Grade every file; what is large is shown, written or put aside at once."""
    from evaluator.batch.class_run import grade_class
    from evaluator.batch.pool import workers_for
    from evaluator.cli.collect import handed_in
    from evaluator.show.progress import progress

    spool, entries = aside
    count = len(found.takes)
    takes: list[ClassTake] = []
    shows = setting.reports or count == 1
    with progress("Grading", count, plain=wanted.plain or shows) as advance:
        workers = workers_for(count, wanted.jobs)
        files = handed_in(found.takes, roster, student=wanted.student)
        for outcome in grade_class(setting, files, workers=workers):
            _take_in(outcome, wanted, spool, follows=bool(takes))
            takes.append(outcome.take)
            entries += [outcome.entry] if outcome.entry is not None else []
            advance()
    return takes


def _take_in(outcome: "Outcome", wanted: Wanted, spool: "Spool", *, follows: bool) -> None:
    if outcome.report is not None and sys.stdout is not None:
        from evaluator.show.terminal import print_report

        if follows:
            print()
        print_report(outcome.report, sys.stdout, plain=wanted.plain)
    if outcome.document:
        spool.add(outcome.document)
    if outcome.page and wanted.html is not None:
        write_text(os.path.join(wanted.html, outcome.take.page), outcome.page)


def _class_report(
    graph: "BarGraph",
    takes: Sequence["ClassTake"],
    setting: "ClassSetting",
    roster: "Roster",
) -> "ClassReport":
    from evaluator.report.class_build import build_class

    names = [row.name for row in roster]
    return build_class(graph, takes, setting.rubric, chart_file=setting.chart_file, roster=names)


def _tell(report: "ClassReport", found: "Found", wanted: Wanted, *, one: bool) -> None:
    """The class on the standard output, and what could not be read where it is seen."""
    if one or wanted.silent or sys.stdout is None:
        for take in report.unreadable:
            told = take.problem
            say_error(told if take.file in told else f"{take.file}: {told}")
        return
    from evaluator.show.terminal import print_class

    if wanted.reports:
        print()
    print_class(report, sys.stdout, plain=wanted.plain, passed_over=map(shown, found.passed_over))
    if report.unreadable:
        count = f"{len(report.unreadable)} of {len(found.takes)}"
        say_error(f"{count} files could not be read; the table says why.")


def _write(report: "ClassReport", spool: "Spool", wanted: Wanted, *, one: bool) -> None:
    if wanted.json is not None and (len(spool) or not one):
        from evaluator.report.json import json_list

        pieces = spool if one else json_list(spool)
        _put(wanted.json, (piece.encode("ascii") for piece in pieces))
    if wanted.csv is not None:
        from evaluator.show.gradebook import gradebook

        _put(wanted.csv, iter([gradebook(report)]))
    if wanted.html is not None and not one:
        from evaluator.show.pages import class_page

        write_text(os.path.join(wanted.html, "index.html"), class_page(report))


def _keep(
    entries: Sequence["Entry"], found: "Found", roster: "Roster", wanted: Wanted, *, one: bool
) -> None:
    """Into the history, once everything is told; a take alone may be nobody's by name."""
    if not entries:
        return
    from evaluator.cli.collect import is_named
    from evaluator.history import remember

    nameless = one and not wanted.student and not is_named(found.takes[0], roster)
    if sys.stdout is not None:
        sys.stdout.flush()  # the report first, whatever the disk does
    trouble = remember(replace(kept, student="") if nameless else kept for kept in entries)
    if trouble:
        say_error(trouble)


def _put(path: str, pieces: Iterator[bytes]) -> None:
    if path != STANDARD_OUTPUT:
        write_pieces(path, pieces)
    elif sys.stdout is not None:
        sys.stdout.flush()
        sys.stdout.buffer.writelines(pieces)
        sys.stdout.buffer.flush()


def _jobs(word: str) -> int:
    """A number of workers, from 1."""
    if not (word.isascii() and word.isdigit() and int(word) > 0):
        raise argparse.ArgumentTypeError(f"{word!r} is no number of jobs; give 1, 2, 3 ...")
    return int(word)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="evaluator grade",
        description="Grade takes of a song against its chart: chords, bass, pattern and form, "
        "bar by bar. Of one take its report is shown; of several, or of a folder, the class.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument(
        "takes", metavar="TAKE", nargs="+", help="MIDI files (.mid), or folders with them"
    )
    add = parser.add_argument
    add(
        "--rubric",
        metavar="NAME",
        help="the yardstick: first-steps, steady (the usual one), concert-ready, or a file",
    )
    add("--roster", metavar="FILE", help="the students' names, a table: pattern,name")
    add("--csv", metavar="FILE", help="write a gradebook for a spreadsheet; - for stdout")
    add("--html", metavar="DIR", help="write a page for each take, and one for the class")
    add(
        "--json",
        metavar="FILE",
        help="write the reports as JSON (of a class a list); - for stdout",
    )
    add("--hand", choices=("left", "right"), help="judge one hand alone (else it is heard)")
    add("--bars", metavar="A-B", help="the takes are of these bars, played round and round")
    add("--section", metavar="NAME", help="the takes are of this section, round and round")
    add("--student", metavar="NAME", help="whose takes these are, whatever their names")
    add("--no-history", action="store_true", help="keep nothing in the history")
    add("--reports", action="store_true", help="show each report of a class, too")
    add("--jobs", metavar="N", type=_jobs, help="grade on so many cores (all, if worth it)")
    add(
        "--plain",
        action="store_true",
        help="sentences without colour or signs, as for a screen reader",
    )
    return parser
