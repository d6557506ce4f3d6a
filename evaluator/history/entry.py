"""What is kept of a graded take?

Enough to draw a trend and to see which bars stay wrong, and no note of the take itself. A
chart and a take are known by the hash of their content: a chart that was edited is another
chart, a take that was copied is the same take.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # the history is shown without what grades
    from evaluator.report.model import Report

SCORING: Final = 3
"""Raised whenever verdicts or marks of the same take change, so that old marks are told
from new ones. 2: the touch counts. 3: the scale by which teachers rate."""


@dataclass(frozen=True, slots=True)
class KeptLoop:
    """A passage that a report advises to practise."""

    first: int
    """Number of its first bar,"""
    last: int
    """and of its last one."""
    bpm: int
    why: str
    """What fails there: a phrase without a full stop."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One graded take. Times are seconds since 1970."""

    chart: str
    """Hash of the chart's text."""
    title: str
    chart_file: str
    chart_bars: int
    take: str
    """Hash of the take's bytes."""
    take_file: str
    student: str
    """Empty where nobody is named."""
    part: str
    """What of the song was graded: `left hand`, `bars 21 to 24`; empty for all of it."""
    rubric: str
    scoring: int
    played_at: float
    """When the take was made, as far as its file tells."""
    graded_at: float
    complete: bool
    bpm: float
    marks: Mapping[str, float | None]
    """By the names of their columns, 0 to 100."""
    bars: Mapping[int, str]
    """Of each bar that was judged what was wrong with it, kinds with a space between; empty
    for a bar that was right. A bar that was played several times as it was the last time."""
    findings: tuple[str, ...]
    """Kinds of the findings of the form that are held against it."""
    loops: "tuple[KeptLoop, ...]" = ()
    """What it was advised to practise, the most needed first."""


def hash_of(content: bytes) -> str:
    """SHA-256 of some content in hex, by which the history knows a chart or a take again."""
    return sha256(content).hexdigest()


def can_be_dated(seconds: object) -> bool:
    """Whether this is a time that a calendar has."""
    from datetime import datetime

    try:
        datetime.fromtimestamp(seconds)  # type: ignore[arg-type]
    except (OverflowError, ValueError, OSError, TypeError):
        return False
    return True


@dataclass(frozen=True, slots=True)
class Content:
    """What a report is on."""

    chart: str
    """The chart's text."""
    take: bytes
    """The take's file."""


def entry_of(
    report: "Report", content: Content, *, student: str, played_at: float, graded_at: float
) -> Entry | None:
    """The entry of a report; None for a take that is not one of this song.

    Times are seconds since 1970.
    """
    if not report.matches:
        return None
    bars = {
        bar.number: " ".join(
            dict.fromkeys(fault.kind for fault in bar.faults if fault.kind != "slip")
        )
        for bar in report.bars
        if bar.verdict.judged
    }
    held = [one.finding for one in report.form if one.finding.kind != "choice"]
    for section in report.layout:
        for line in section.lines:
            bars |= {bar.number: "missing" for bar in line.bars if bar.state == "missing"}
    return Entry(
        chart=hash_of(content.chart.encode("utf-8")),
        title=report.chart.title,
        chart_file=report.chart.file,
        chart_bars=report.chart.bars,
        take=hash_of(content.take),
        take_file=report.take.file,
        student=student,
        part=part_of(report),
        rubric=report.reckoning.rubric,
        scoring=SCORING,
        played_at=played_at,
        graded_at=graded_at,
        complete=report.take.complete,
        bpm=report.tempo.median,
        marks=report.marks.by_name,
        bars=bars,
        findings=tuple(finding.kind for finding in held),
        loops=tuple(KeptLoop(*loop.bars, loop.bpm, loop.why) for loop in report.practise),
    )


def part_of(report: "Report") -> str:
    """What of the song a report is about, in words; empty for all of it."""
    told = []
    if report.passes and report.layout:
        numbers = [b.number for s in report.layout for line in s.lines for b in line.bars]
        told.append(f"bars {min(numbers)} to {max(numbers)}")
    if report.take.hand:
        told.append(f"{report.take.hand} hand")
    return ", ".join(told)


def bars_text(bars: Mapping[int, str]) -> str:
    """The bars as they stand in the file."""
    return json.dumps({str(number): kinds for number, kinds in sorted(bars.items())})


def bars_from(text: str) -> dict[int, str]:
    """The bars that `bars_text` wrote."""
    return {int(number): str(kinds) for number, kinds in json.loads(text).items()}


def loops_text(loops: Sequence[KeptLoop]) -> str:
    """What to practise, as it stands in the file."""
    return json.dumps([[loop.first, loop.last, loop.bpm, loop.why] for loop in loops])


def loops_from(text: str) -> tuple[KeptLoop, ...]:
    """The passages that `loops_text` wrote. Raises `ValueError`, `TypeError`."""
    return tuple(
        KeptLoop(int(first), int(last), int(bpm), str(why))
        for first, last, bpm, why in json.loads(text)
    )
