"""Entries for tests, made up but for what a test says of them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from evaluator.history.entry import PARTS, Entry
from evaluator.history.store import opened

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
    marks=dict.fromkeys(PARTS, 80.0),
    bars={1: "", 2: "bass"},
    findings=("missing",),
)


def entry(take: str = "t", *, day: int = 0, overall: float = 80.0, **fields: object) -> Entry:
    """A take of that many days after a Monday; other fields by name."""
    fields.setdefault("marks", dict.fromkeys(PARTS, overall))
    at = MONDAY.timestamp() + day * 86_400
    return replace(ENTRY, take=take, played_at=at, **fields)  # type: ignore[arg-type]


def keep_all(file: Path, found: Iterable[Entry]) -> tuple[int, Path | None]:
    """Keep entries; the number of new ones, and what was put aside."""
    with opened(file) as history:
        return sum(history.keep(one) for one in found), history.aside
