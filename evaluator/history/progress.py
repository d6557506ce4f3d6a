"""What has become of a song over the days?

The marks by day, the bars that stay wrong and the bars that are mastered, of one student's
takes of one edition of a chart, the whole song or one part of it. A take that was graded by
several versions of the program counts as the newest has it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from statistics import fmean
from typing import Final

from evaluator.history.due import Course, courses
from evaluator.history.entry import Entry
from evaluator.history.practised import Practised
from evaluator.parts import NAMES

LAST: Final = 3
"""Takes in a row that decide about a bar; common practice among teachers, no source."""
LEAST: Final = 2
"""With fewer takes of a bar nothing is said of it."""


@dataclass(frozen=True, slots=True)
class Day:
    """The takes of one day."""

    day: date
    takes: int
    marks: dict[str, float | None]
    """Means of the day, by the names of their columns."""
    best: float
    bpm: float


@dataclass(frozen=True, slots=True)
class Stubborn:
    """A bar that stays wrong."""

    number: int
    wrong: int
    takes: int
    kinds: tuple[str, ...]
    """What was wrong with it the last time."""


@dataclass(frozen=True, slots=True)
class Progress:
    """One student's way with one edition of a song, or a part of it."""

    chart: str
    title: str
    chart_file: str
    part: str
    student: str
    takes: int
    days: tuple[Day, ...]
    stubborn: tuple[Stubborn, ...]
    mastered: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Piano:
    """What one student practised of one edition of a song, passage by passage."""

    chart: str
    title: str
    chart_file: str
    student: str
    courses: tuple[Course, ...]


def practising(rounds: Iterable[Practised]) -> tuple[Piano, ...]:
    """What everybody practised, by title and student; rounds as they began."""
    groups: dict[tuple[str, str, str], list[Practised]] = {}
    for one in rounds:
        groups.setdefault((one.title, one.chart, one.student), []).append(one)
    return tuple(
        Piano(chart, title, group[-1].chart_file, student, courses(group))
        for (title, chart, student), group in sorted(groups.items())
    )


def progress(entries: Iterable[Entry]) -> tuple[Progress, ...]:
    """Everybody's way with every song, by title and student; entries in the order of playing."""
    groups: dict[tuple[str, str, str, str], list[Entry]] = {}
    for entry in newest(entries):
        key = (entry.title, entry.chart, entry.part, entry.student)
        groups.setdefault(key, []).append(entry)
    return tuple(_progress(group) for _, group in sorted(groups.items(), key=lambda one: one[0]))


def newest(entries: Iterable[Entry]) -> list[Entry]:
    """Each take once, as the newest scoring has it; the last rubric it was marked by."""
    found: dict[tuple[str, str, str, str], Entry] = {}
    for entry in entries:
        key = (entry.chart, entry.take, entry.part, entry.student)
        known = found.get(key)
        if known is None or (entry.scoring, entry.graded_at) > (known.scoring, known.graded_at):
            found[key] = entry
    return sorted(found.values(), key=lambda entry: entry.played_at)


def _progress(takes: Sequence[Entry]) -> Progress:
    last = takes[-1]
    by_day: dict[date, list[Entry]] = {}
    scoring = max(entry.scoring for entry in takes)
    # Marks of another scale make no curve with these; what was wrong in the bars still holds.
    for entry in (entry for entry in takes if entry.scoring == scoring):
        by_day.setdefault(datetime.fromtimestamp(entry.played_at).date(), []).append(entry)
    bars = {number: _course(takes, number) for entry in takes for number in entry.bars}
    return Progress(
        chart=last.chart,
        title=last.title,
        chart_file=last.chart_file,
        part=last.part,
        student=last.student,
        takes=len(takes),
        days=tuple(_day(day, group) for day, group in sorted(by_day.items())),
        stubborn=tuple(
            Stubborn(number, sum(map(bool, course)), len(course), tuple(course[-1].split()))
            for number, course in sorted(bars.items())
            if len(course) >= LEAST and all(course[-LAST:])
        ),
        mastered=tuple(
            number
            for number, course in sorted(bars.items())
            if len(course) > LEAST and any(course) and not any(course[-LEAST:])
        ),
    )


def _course(takes: Sequence[Entry], number: int) -> list[str]:
    """What was wrong with a bar, take by take, where it was judged."""
    return [entry.bars[number] for entry in takes if number in entry.bars]


def _day(day: date, takes: Sequence[Entry]) -> Day:
    return Day(
        day=day,
        takes=len(takes),
        marks={name: _mean(takes, name) for name in NAMES},
        best=max(entry.marks["overall"] or 0.0 for entry in takes),
        bpm=fmean(entry.bpm for entry in takes),
    )


def _mean(takes: Sequence[Entry], name: str) -> float | None:
    known = [mark for entry in takes if (mark := entry.marks[name]) is not None]
    return fmean(known) if known else None
