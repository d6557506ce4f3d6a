"""How does progress look in a terminal, in JSON and in a spreadsheet?

A row a day: the date, the mark as a number and as a bar of plain characters, the best of
the day and the tempo. Then the bars that stay wrong and those that are mastered.
"""

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Final

from evaluator.history.due import Course
from evaluator.history.entry import Entry
from evaluator.history.progress import Day, Piano, Progress, Stubborn
from evaluator.parts import NAMES
from evaluator.report.places import amount, bar_numbers, listed
from evaluator.show.glyphs import MEANINGS
from evaluator.show.page import Line, Sheet, paragraph
from evaluator.show.sanitise import cell_text

SCHEMA: Final = "evaluator.history/1"
PICTURE: Final = range(10, 41)
"""Cells for a mark of 100: as many as the sheet leaves, within these."""
BESIDE, BESIDE_BEST = 30, 44
"""Cells that a row needs beside its picture, without and with the best of the day."""
MOST_DAYS: Final = 30
"""Days that are drawn; the earlier ones are counted."""
TOLD_BARS: Final = 8
"""Bars that stay wrong of which each is told."""


def page(
    found: Sequence[Progress], sheet: Sheet, practised: Sequence[Piano] = ()
) -> Iterator[Line]:
    """Everybody's progress, and what was practised passage by passage."""
    told = [_progress(one, sheet) for one in found] + [_practised(one, sheet) for one in practised]
    for at, lines in enumerate(told):
        if at:
            yield ()
        yield from lines


def _practised(one: Piano, sheet: Sheet) -> Iterator[Line]:
    """A line a passage."""
    student = f", {one.student}" if one.student else ""
    head = sheet.text(f"{one.title}{student}: practised with `evaluator practise`")
    yield from paragraph(head, sheet.width, style="title")
    for course in one.courses:
        yield from paragraph(sheet.text(course_told(course)), sheet.width, first="  ", rest="    ")


def course_told(one: Course) -> str:
    """`bars 5 and 6: 72 of 96 reached, 14 times through on two days`."""
    hand = f", {one.hand} hand" if one.hand else ""
    if one.mastered:
        state = f"mastered at {one.goal}"
    elif one.reached is None:
        state = f"not yet well three times in a row (chart {one.goal})"
    else:
        state = f"{one.reached} of {one.goal} reached"
    told = f"{state}, {amount(one.times, 'time')} through on {amount(one.days, 'day')}"
    again = f"; again from {one.due:%Y-%m-%d}" if one.due is not None else ""
    return f"{bar_numbers(range(one.first, one.last + 1))}{hand}: {told}{again}"


def _progress(one: Progress, sheet: Sheet) -> Iterator[Line]:
    part = f", {one.part}" if one.part else ""
    student = f", {one.student}" if one.student else ""
    head = f"{one.title}{part}{student}: {amount(one.takes, 'take')}"
    yield from paragraph(
        sheet.text(f"{head} on {amount(len(one.days), 'day')}"), sheet.width, style="title"
    )
    drawn = one.days[-MOST_DAYS:]
    if len(drawn) < len(one.days):
        yield ((f"  {amount(len(one.days) - len(drawn), 'day')} before", "faint"),)
    best = sheet.width >= BESIDE_BEST + PICTURE[0]
    width = min(PICTURE[-1], sheet.width - (BESIDE_BEST if best else BESIDE))
    for day in drawn:
        yield _day(day, width, best=best)
    if one.stubborn:
        told = "; ".join(_stubborn(bar) for bar in one.stubborn[:TOLD_BARS])
        more = len(one.stubborn) - TOLD_BARS
        told += f"; and {amount(more, 'bar')} more" if more > 0 else ""
        yield from paragraph(sheet.text(f"Still wrong: {told}."), sheet.width, first="  ")
    if one.mastered:
        yield from paragraph(f"Mastered: {bar_numbers(one.mastered)}.", sheet.width, first="  ")


def _day(day: Day, width: int, *, best: bool) -> Line:
    """`2026-11-03   67 |#########......|  2 takes, best 71`."""
    mark = day.marks["overall"] or 0.0
    full = round(mark / 100 * width)
    takes = f"{day.takes} take{'s' if day.takes > 1 else ''}"
    told = f", best {day.best:.0f}" if best and day.takes > 1 else ""
    return (
        (f"  {day.day.isoformat()}  {mark:>3.0f} |", ""),
        ("#" * full, "good"),
        (f"{'.' * (width - full)}|  {takes}{told}", ""),
    )


def _stubborn(bar: Stubborn) -> str:
    kinds = listed([MEANINGS.get(kind, kind) for kind in bar.kinds])
    return f"bar {bar.number} ({bar.wrong} of {bar.takes} takes; {kinds})"


def to_json(found: Sequence[Progress], practised: Sequence[Piano] = ()) -> str:
    """The same as a JSON document, in plain ASCII."""
    document = {
        "schema": SCHEMA,
        "progress": [_fields(one) for one in found],
        "practised": [fields for one in practised for fields in _passages(one)],
    }
    return json.dumps(document, indent=1, allow_nan=False) + "\n"


def _fields(one: Progress) -> dict[str, Any]:
    return {
        "title": one.title,
        "chart": one.chart,
        "chart_file": one.chart_file,
        "part": one.part,
        "student": one.student,
        "takes": one.takes,
        "days": [
            {
                "day": day.day.isoformat(),
                "takes": day.takes,
                "scores": {name: _rounded(day.marks[name]) for name in NAMES},
                "best": _rounded(day.best),
                "bpm": _rounded(day.bpm),
            }
            for day in one.days
        ],
        "still_wrong": [
            {"bar": bar.number, "wrong": bar.wrong, "takes": bar.takes, "kinds": list(bar.kinds)}
            for bar in one.stubborn
        ],
        "mastered": list(one.mastered),
    }


def _passages(one: Piano) -> Iterator[dict[str, Any]]:
    for course in one.courses:
        yield {
            "title": one.title,
            "chart": one.chart,
            "chart_file": one.chart_file,
            "student": one.student,
            "bars": [course.first, course.last],
            "hand": course.hand or "",
            "bpm": course.reached,
            "chart_bpm": course.goal,
            "times": course.times,
            "days": course.days,
            "latest": course.latest.date().isoformat(),
            "mastered": course.mastered,
            "again": None if course.due is None else course.due.isoformat(),
        }


COLUMNS: Final[dict[str, Callable[[Entry], str | float | None]]] = {
    "played": lambda entry: _moment(entry.played_at),
    "student": lambda entry: cell_text(entry.student),
    "title": lambda entry: cell_text(entry.title),
    "part": lambda entry: cell_text(entry.part),
    "chart": lambda entry: cell_text(entry.chart_file),
    "take": lambda entry: cell_text(entry.take_file),
    "rubric": lambda entry: cell_text(entry.rubric),
    **{name: lambda entry, name=name: _rounded(entry.marks[name]) for name in NAMES},  # type: ignore[misc]
    "bpm": lambda entry: _rounded(entry.bpm),
    "wrong_bars": lambda entry: " ".join(str(bar) for bar in sorted(entry.bars) if entry.bars[bar]),
}
"""What stands in each column of the spreadsheet."""


def to_csv(entries: Iterable[Entry]) -> str:
    """Every take as a row of a spreadsheet."""
    stream = io.StringIO()
    rows = csv.writer(stream, lineterminator="\r\n")
    rows.writerow(COLUMNS)
    rows.writerows([cell(entry) for cell in COLUMNS.values()] for entry in entries)
    return stream.getvalue()


def _moment(seconds: float) -> str:
    from datetime import datetime

    return datetime.fromtimestamp(seconds).isoformat(sep=" ", timespec="seconds")


def _rounded(mark: float | None) -> float | None:
    return None if mark is None else round(mark, 1)
