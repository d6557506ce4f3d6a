"""How is one file of a class graded, so that no file can do harm to another?

A piece of the class's work is the bytes of one file and whose it is; what comes back are
plain values: what the class needs of the take, and, if they are wanted, its report, its
JSON document and its page. Whatever is wrong with a file is an answer, never an exception.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from time import time
from typing import Final

from evaluator.batch.crew import Craft, Crew
from evaluator.batch.pool import Local
from evaluator.batch.safely import safely
from evaluator.chart.graph import Hand
from evaluator.excerpt.song import Song
from evaluator.grading import grade_fully, prepare
from evaluator.history.entry import Content, Entry, entry_of
from evaluator.judge.rubric import Rubric
from evaluator.report.class_report import ClassTake
from evaluator.report.class_take import class_take, unread_take
from evaluator.report.model import Report

DIED: Final = "The program was killed each time it read this file."


@dataclass(frozen=True, slots=True)
class ClassSetting:
    """What all files of a class have in common."""

    chart_text: str
    chart_file: str
    rubric: Rubric
    reports: bool = False
    """Whether the reports, the JSON documents, the pages are wanted."""
    documents: bool = False
    pages: bool = False
    kept: bool = False
    """Whether entries for the history are."""
    hand: Hand | None = None
    channel: int | None = None
    bars: str | None = None
    section: str | None = None
    """What of the song is to be graded, as `prepare` takes it."""


@dataclass(frozen=True, slots=True)
class HandedIn:
    """One file: whose it is, and its bytes or why there are none."""

    student: str
    file: str
    content: bytes
    problem: str = ""
    same_as: str = ""
    page: str = ""
    """Name for its page."""
    played_at: float = 0.0
    """When it was played, as far as the file tells: seconds since 1970."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a file."""

    take: ClassTake
    report: Report | None = None
    document: str = ""
    page: str = ""
    entry: Entry | None = None


ALONE: Final = Local()
"""This very process."""


def grade_class(
    setting: ClassSetting, files: Iterable[HandedIn], crew: Crew = ALONE
) -> Iterator[Outcome]:
    """One outcome for each file, in their order, whoever does the work."""
    return crew.in_order(CRAFT, setting, files)


@dataclass(frozen=True, slots=True)
class _Desk:
    song: Song
    setting: ClassSetting


def _prepare(setting: ClassSetting) -> _Desk:
    song = prepare(
        setting.chart_text,
        chart_file=setting.chart_file,
        hand=setting.hand,
        channel=setting.channel,
        bars=setting.bars,
        section=setting.section,
    )
    return _Desk(song, setting)


def _grade(desk: _Desk, given: HandedIn) -> Outcome:
    outcome, problem = None, given.problem
    if not problem:
        outcome, problem = safely(_outcome, desk, given)
    return outcome or _unread(given, problem)


def _outcome(desk: _Desk, given: HandedIn) -> Outcome:
    graded = grade_fully(desk.song, given.content, take_file=given.file, rubric=desk.setting.rubric)
    take = class_take(
        desk.song.graph,
        graded.judgement,
        graded.report,
        student=given.student,
        file=given.file,
    )
    document = page = ""
    if desk.setting.documents:
        from evaluator.report.json import to_json

        document = to_json(graded.report)
    if desk.setting.pages:
        from evaluator.show.pages import take_page

        page = take_page(graded, student=given.student)
    entry = None
    if desk.setting.kept:
        entry = entry_of(
            graded.report,
            Content(desk.setting.chart_text, given.content),
            student=given.student,
            played_at=given.played_at,
            graded_at=time(),
        )
    return Outcome(
        take=replace(take, same_as=given.same_as, page=given.page if page else ""),
        report=graded.report if desk.setting.reports else None,
        document=document,
        page=page,
        entry=entry,
    )


def _unread(given: HandedIn, problem: str) -> Outcome:
    take = unread_take(student=given.student, file=given.file, problem=problem)
    return Outcome(replace(take, same_as=given.same_as))


def _lost(given: HandedIn) -> Outcome:
    return _unread(given, DIED)


CRAFT: Final = Craft(_prepare, _grade, _lost)
