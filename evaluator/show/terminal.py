"""How does a report look in a terminal?

First what a student needs (one sentence, the marks, three things to put right), then
the song as the chart lays it out with its marks, then the form in sentences and what to
practise. `--plain` is the same in spoken sentences, a line a bar, for a screen reader.

Lines are composed here and written by `evaluator.show.writing`.
"""

import sys
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, TextIO

from evaluator.report.model import Report
from evaluator.report.places import bar_numbers, listed, quoted
from evaluator.report.reckoning import marked_words
from evaluator.report.sentences import AT_EASE, CANNOT_TELL, CAUTION
from evaluator.show.marked_song import legend, song
from evaluator.show.page import PROSE, Line, Sheet, cells, paragraph, sheet_for, wrapped
from evaluator.show.passes import passes
from evaluator.show.writing import takes_colour, write

if TYPE_CHECKING:
    from evaluator.report.class_report import ClassReport


def print_report(report: Report, stream: TextIO, *, plain: bool = False) -> None:
    """Write one report to a stream, as fits what the stream is."""
    from evaluator.show.spoken import spoken

    sheet = sheet_for(stream)
    lines = spoken(report, sheet) if plain else page(report, sheet)
    write(lines, stream, colour=not plain and takes_colour(stream))


def print_class(
    report: "ClassReport",
    stream: TextIO,
    *,
    plain: bool = False,
    passed_over: Iterable[str] = (),
) -> None:
    """Write what there is to know of a class, and which files were no takes."""
    from evaluator.show.class_spoken import spoken_class
    from evaluator.show.class_table import class_page

    sheet = sheet_for(stream)
    lines = list(spoken_class(report, sheet) if plain else class_page(report, sheet))
    names = list(passed_over)
    if names:
        told = f"Skipped, since they are not takes: {listed(names)}."
        width = sys.maxsize if plain else sheet.width
        lines += [(), *paragraph(sheet.text(told), width)]
    write(lines, stream, colour=not plain and takes_colour(stream))


def page(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The report as lines, none wider than the sheet."""
    prose = min(sheet.width, PROSE)
    file = f" ({report.take.file})" if report.take.file else ""
    title = sheet.text(report.chart.title + file)
    yield from paragraph(title, sheet.width, style="title")
    yield from paragraph(sheet.text(report.headline), prose)
    for remark in report.remarks:
        yield from paragraph(sheet.text(remark), prose, first="  ", style="faint")
    if not report.matches:
        return
    yield ()
    yield from _marks(report, sheet)
    if report.passes:
        yield ()
        yield from passes(report, sheet)
    if report.fix_first:
        yield ()
        yield (("To put right first", "head"),)
        for at, fix in enumerate(report.fix_first, start=1):
            yield from paragraph(sheet.text(fix), prose, first=f"  {at}. ")
    yield ()
    yield (("The song, bar by bar", "head"),)
    yield from legend(report, sheet)
    yield from song(report, sheet)
    yield from _form(report, sheet, prose)
    yield from _touch(report, sheet, prose)
    yield from _practise(report, sheet, prose)


def _marks(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The mark, how it came about, what the rubric lets pass, and the tempo."""
    reckoning, tempo = report.reckoning, report.tempo
    said = marked_words(reckoning, report.marks.overall, times=sheet.glyphs.times)
    yield from paragraph(sheet.text(f"Mark: {said}"), sheet.width, style="good")
    if reckoning.let_pass:
        let = f"This rubric lets pass: {listed(reckoning.let_pass)}."
        yield from paragraph(let, sheet.width, style="faint")
    steady = f", give or take {tempo.steadiness_pct:.0f} %" if tempo.steadiness_pct >= 0.5 else ""
    says = f"; the chart says {tempo.chart:.0f}" if tempo.stated else ""
    yield from paragraph(f"Tempo: {tempo.median:.0f} beats a minute{steady}{says}.", sheet.width)


def _form(report: Report, sheet: Sheet, prose: int) -> Iterator[Line]:
    yield ()
    yield (("The form", "head"),)
    if not any(reported.finding.kind != "choice" for reported in report.form):
        until = "" if report.take.complete else ", as far as the take goes"
        yield from paragraph(
            f"Every bar was there, none missing and none too many{until}.", prose, first="  "
        )
    for reported in report.form_told:
        sign = "ok" if reported.finding.kind == "choice" else sheet.glyphs.of(reported.finding.kind)
        yield from paragraph(sheet.text(reported.say), prose, first=f"  {sign} ")


def _touch(report: Report, sheet: Sheet, prose: int) -> Iterator[Line]:
    """How it was played: what matters, or that nothing does, and what cannot be told."""
    if not report.touch.aspects:
        return
    yield ()
    yield (("How it was played", "head"),)
    said = report.touch.said or (AT_EASE,)
    for one in said:
        yield from paragraph(sheet.text(one), prose, first="  ")
    yield from paragraph(CANNOT_TELL, prose, first="  ", style="faint")


def _practise(report: Report, sheet: Sheet, prose: int) -> Iterator[Line]:
    """Each passage: where and how, what fails, what to listen for, a guide to play along to."""
    if not report.practise:
        return
    yield ()
    yield (("To practise, round and round", "head"),)
    for at, loop in enumerate(report.practise, start=1):
        numbers = bar_numbers(range(loop.bars[0], loop.bars[1] + 1))
        cue = f" ({quoted(loop.cue)})" if loop.cue else ""
        where = f"{loop.section}, {numbers}{cue}: {loop.why}."
        how = f"{loop.times} times in a row at {loop.bpm} beats a minute. {loop.listen}"
        yield from paragraph(sheet.text(where), prose, first=f"  {at}. ")
        yield from paragraph(sheet.text(how), prose, first="     ")
        yield from _command(sheet.text(loop.guide), prose, "     ")
    yield from paragraph(CAUTION, prose, first="  ", style="faint")


def _command(command: str, width: int, indent: str) -> Iterator[Line]:
    """A command that can be pasted into a shell even where it takes several rows."""
    *before, last = wrapped(command, max(width - cells(indent) - 2, 8))
    for row in before:
        yield ((indent, ""), (f"{row} \\", "faint"))
    yield ((indent, ""), (last, "faint"))
