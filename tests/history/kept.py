"""Entries for tests, made up but for what a test says of them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from evaluator.history.entry import Entry
from evaluator.history.practised import Practised
from evaluator.history.store import opened
from evaluator.parts import NAMES

MONDAY = datetime(2026, 11, 2, 17, 0)

ENTRY = Entry(
    chart="c" * 64,
    title="Kettle Lane",
    chart_file="kettle_lane.txt",
    chart_bars=8,
    take="t" * 64,
    take_file="monday.mid",
    student="",
    part="",
    rubric="steady",
    scoring=1,
    played_at=MONDAY.timestamp(),
    graded_at=MONDAY.timestamp() + 3600,
    complete=True,
    bpm=92.0,
    marks=dict.fromkeys(NAMES, 80.0),
    bars={1: "", 2: "bass"},
    findings=("missing",),
)


def entry(take: str = "t", *, day: int = 0, overall: float = 80.0, **fields: object) -> Entry:
    """A take of that many days after a Monday; other fields by name."""
    fields.setdefault("marks", dict.fromkeys(NAMES, overall))
    at = MONDAY.timestamp() + day * 86_400
    return replace(ENTRY, take=take, played_at=at, **fields)  # type: ignore[arg-type]


def keep_all(file: Path, found: Iterable[Entry]) -> tuple[int, Path | None]:
    """Keep entries; the number of new ones, and what was put aside."""
    with opened(file) as history:
        return sum(history.keep(one) for one in found), history.aside


DAY = 86_400.0
ROUND = Practised(
    chart="c" * 64,
    title="Kettle Lane",
    chart_file="kettle_lane.txt",
    chart_bars=8,
    student="",
    first=5,
    last=6,
    hand=None,
    began_at=MONDAY.timestamp(),
    ended_at=MONDAY.timestamp() + 60,
    bpm=72,
    goal=96,
    times=4,
    good=3,
    in_a_row=3,
)


def practised(*, day: int = 0, **fields: object) -> Practised:
    """A round of that many days after a Monday; other fields by name."""
    began = MONDAY.timestamp() + day * DAY
    return replace(ROUND, began_at=began, ended_at=began + 60, **fields)  # type: ignore[arg-type]
