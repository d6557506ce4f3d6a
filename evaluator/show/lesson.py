"""What does a student see in a lesson at the piano?

The passage as the chart lays it out, with the marks of the last time through at its bars; above
it what is practised and how fast, below it a line for each of the last times through and what
to do next. A `LessonPage` is a picture of one moment; `lay_lesson` composes it, `lesson_news`
says in sentences what is new since another picture.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from evaluator.show.live_page import ENDS, LivePage, beat_line, framed
from evaluator.show.page import Line, Sheet, cells, paragraph

LessonState = Literal["no piano", "ready", "counting", "playing", "away", "resting", "over"]

SAYS: Final[dict[LessonState, str]] = {
    "no piano": "Waiting for the piano.",
    "ready": "",
    "counting": "",
    "playing": "",
    "away": "The piano is gone. Plug it in again; nothing is lost.",
    "resting": "",
    "over": "",
}
ENDING: Final = ENDS.format(what="the lesson")
SHOWN: Final = 5
"""Sentences that stay in sight."""
IN_A_ROW: Final = "good in a row: {good} of {wanted}"


@dataclass(frozen=True, slots=True)
class LessonPage:
    """One moment of a lesson."""

    passage: LivePage
    """The passage with its marks, and where in it the student is."""
    state: LessonState
    label: str
    """What is practised."""
    bpm: int
    goal: int
    """The chart's tempo."""
    good: int
    """Good times in a row,"""
    wanted: int
    """and how many there are to be."""
    said: tuple[str, ...]
    """Every sentence so far."""
    notes: tuple[str, ...] = ()
    """What holds at this moment."""


def lay_lesson(page: LessonPage, sheet: Sheet, height: int) -> list[Line]:
    """The page in at most `height` lines, none wider than the sheet."""
    return framed(_head(page, sheet), page.passage, _foot(page, sheet), sheet, height)


def _head(page: LessonPage, sheet: Sheet) -> Iterator[Line]:
    title = sheet.text(page.passage.title)
    tempo = f"tempo {page.bpm} (chart {page.goal})"
    between = sheet.width - cells(title) - cells(tempo)
    if between < 2:
        yield from list(paragraph(title, sheet.width, style="title"))[:1]
        yield ((tempo, "faint"),)
    else:
        yield ((title, "title"), (" " * between, ""), (tempo, "faint"))
    row = IN_A_ROW.format(good=page.good, wanted=page.wanted)
    label = sheet.text(page.label)
    between = sheet.width - cells(label) - cells(row)
    if between < 2:
        yield from paragraph(label, sheet.width, style="head")
        yield ((row, "faint"),)
    else:
        yield ((label, "head"), (" " * between, ""), (row, "good" if page.good else "faint"))


def _foot(page: LessonPage, sheet: Sheet) -> Iterator[Line]:
    yield from beat_line(page.passage, sheet)
    for sentence in page.said[-SHOWN:]:
        yield from paragraph(sheet.text(sentence), sheet.width, first="  ")
    for note in (*page.notes, SAYS[page.state]):
        if note:
            yield from paragraph(sheet.text(note), sheet.width, style="head")
    yield from paragraph(ENDING, sheet.width, style="faint")


def lesson_news(page: LessonPage, before: LessonPage | None) -> Iterator[str]:
    """What is new since the page before, a sentence a line: for an ear, or for a pipe."""
    told = 0 if before is None else len(before.said)
    yield from page.said[told:]
    old = () if before is None else before.notes
    yield from (note for note in page.notes if note not in old)
    if before is not None and page.state == before.state:
        return
    if page.state == "counting":
        yield f"Counting in at {page.bpm}."
    elif before is not None and before.state == "away":
        yield "The piano is back."
    elif SAYS[page.state]:
        yield SAYS[page.state]
