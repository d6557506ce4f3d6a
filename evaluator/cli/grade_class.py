"""How did the class play?

Each take is read, judged and reported for itself, and one that cannot be read does not
stop the others. The answer is the same in whatever order the files are given and on
however many cores they are graded. What is large is shown, written or put aside as it
comes.
"""

import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, TextIO

from evaluator.batch.class_run import ClassSetting, Outcome
from evaluator.batch.cluster import Cluster, ClusterError, check_installed
from evaluator.batch.crew import Crew
from evaluator.batch.journal import Journal, graded
from evaluator.batch.pool import Local, workers_for
from evaluator.batch.sharing import Sharing
from evaluator.cli.files import inside, shown, write_text
from evaluator.cli.folders import Found, find_takes, handed_in
from evaluator.cli.grade_words import ChartFile, Wanted
from evaluator.cli.put import Outlet, outlet, ready_for_pages
from evaluator.cli.rubrics import load_roster, load_rubric
from evaluator.cli.say import say_error
from evaluator.cli.unfinished import ending_in_order, journal_for, place_for
from evaluator.grading import prepare
from evaluator.history import Memory, remembering
from evaluator.report.class_build import build_class
from evaluator.report.class_report import ClassReport, ClassTake
from evaluator.report.places import amount
from evaluator.show.progress import progress

if TYPE_CHECKING:
    from evaluator.batch.students import Roster
    from evaluator.judge.rubric import Rubric


def grade_class_of(chart: ChartFile, paths: Sequence[str], wanted: Wanted) -> int:
    """Grade takes and folders of them against a chart.

    1 if a take or a folder could not be read.
    """
    graph = prepare(
        chart.text,
        chart_file=shown(chart.path),
        hand=wanted.hand,
        bars=wanted.bars,
        section=wanted.section,
    ).graph
    rubric, roster = load_rubric(wanted.rubric), load_roster(wanted.roster)
    if wanted.cluster is not None:
        check_installed()
    apart = (chart.path, wanted.json, wanted.csv, wanted.roster, wanted.rubric, place_for(wanted))
    found = find_takes(paths, known=filter(None, apart))
    wanted.check_targets(found.takes)
    for problem in found.problems:
        say_error(problem)
    if not found.takes:
        return 1
    setting = _setting(chart, rubric, wanted)
    with (
        ending_in_order(),
        outlet() as out,
        journal_for(wanted) as journal,
        remembering() as memory,
    ):
        try:
            takes = _graded(setting, found, roster, wanted, _Keepers(journal, memory, out))
        except ClusterError as error:
            raise ClusterError(f"{error} {_kept(journal, wanted)}".rstrip()) from error
        names = [row.name for row in roster]
        report = build_class(graph, takes, rubric, chart_file=shown(chart.path), roster=names)
        _write(report, journal, wanted, out)
        _tell(report, found, wanted, out)
        if memory.trouble:
            say_error(memory.trouble)
        if out.failed is not None:
            raise out.failed  # before what was graded is thrown away
    return 1 if found.problems or report.unreadable else 0


def _kept(journal: Journal, wanted: Wanted) -> str:
    """That what was graded before the cluster was lost is not."""
    if not len(journal) or place_for(wanted) is None:
        return ""
    return (
        f"{amount(len(journal), 'take').capitalize()} are graded and kept; run the "
        f"same command again to go on from there."
    )


def _crew(count: int, wanted: Wanted) -> Crew:
    return Cluster(wanted.cluster) if wanted.cluster else Local(workers_for(count, wanted.jobs))


def _setting(chart: ChartFile, rubric: "Rubric", wanted: Wanted) -> ClassSetting:
    if wanted.html is not None:
        ready_for_pages(wanted.html)
    return ClassSetting(
        chart_text=chart.text,
        chart_file=shown(chart.path),
        rubric=rubric,
        reports=wanted.reports and not wanted.silent,
        documents=wanted.json is not None,
        pages=wanted.html is not None,
        kept=wanted.history,
        hand=wanted.hand,
        channel=wanted.channel,
        bars=wanted.bars,
        section=wanted.section,
    )


class _Keepers(NamedTuple):
    """Where what was graded goes."""

    journal: Journal
    memory: Memory
    out: Outlet


def _graded(
    setting: ClassSetting,
    found: Found,
    roster: "Roster",
    wanted: Wanted,
    keepers: _Keepers,
) -> list[ClassTake]:
    """Grade every file that is not graded yet."""
    journal = keepers.journal
    count, told = len(found.takes), False
    takes: list[ClassTake] = []
    shared = Sharing()
    with progress("Grading", count, plain=wanted.plain or setting.reports) as advance:
        files = handed_in(found.takes, roster, student=wanted.student)
        for done in graded(setting, files, _crew(count, wanted), journal):
            if not done.known:
                _take_in(done.outcome, wanted, keepers.out, follows=bool(takes))
                keepers.memory.keep(done.outcome.entry)
                # Last of all: whatever is not in the journal is done again.
                journal.add(done.key, _listed(done.outcome, wanted))
            elif not told:
                say_error("Resuming an interrupted run.")
                told = True
            takes.append(shared(done.outcome.take))
            advance()
    return takes


def _listed(outcome: Outcome, wanted: Wanted) -> Outcome:
    """The outcome; of a file that could not be read with a document that says so."""
    take = outcome.take
    if wanted.json is None or take.status != "unreadable":
        return outcome
    from evaluator.report.json import unread_to_json

    return replace(outcome, document=unread_to_json(take.file, take.problem))


def _take_in(outcome: Outcome, wanted: Wanted, out: Outlet, *, follows: bool) -> None:
    if outcome.page and wanted.html is not None:
        write_text(inside(wanted.html, outcome.take.page), outcome.page, private=True)
    report = outcome.report
    if report is not None:
        from evaluator.show.terminal import print_report

        if follows:
            out.tell(_blank_line)
        out.tell(lambda stream: print_report(report, stream, plain=wanted.plain))


def _blank_line(stream: TextIO) -> None:
    print(file=stream)


def _tell(report: ClassReport, found: Found, wanted: Wanted, out: Outlet) -> None:
    """The class on the standard output, and what could not be read where it is seen."""
    if wanted.silent or sys.stdout is None:
        for take in report.unreadable:
            told = take.problem
            say_error(told if take.file in told else f"{take.file}: {told}")
        return
    from evaluator.show.terminal import print_class

    if wanted.reports:
        out.tell(_blank_line)
    over = [shown(path) for path in found.passed_over]
    out.tell(lambda stream: print_class(report, stream, plain=wanted.plain, passed_over=over))
    if report.unreadable:
        count = f"{len(report.unreadable)} of {len(found.takes)}"
        say_error(f"{count} files could not be read; the table says why.")


def _write(report: ClassReport, journal: Journal, wanted: Wanted, out: Outlet) -> None:
    if wanted.html is not None:
        from evaluator.show.pages import class_page

        write_text(os.path.join(wanted.html, "index.html"), class_page(report), private=True)
    out.put((wanted.json, lambda: _documents(journal)), (wanted.csv, lambda: _gradebook(report)))


def _documents(journal: Journal) -> Iterable[bytes]:
    from evaluator.report.json import json_list

    return (piece.encode("ascii") for piece in json_list(journal.documents()))


def _gradebook(report: ClassReport) -> Iterable[bytes]:
    from evaluator.show.gradebook import gradebook

    return gradebook(report)
