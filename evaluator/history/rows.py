"""What does a row of the history's file say, if it says anything?

A disk may have damaged a cell, a clock may have stood wrong, another program may have
written something else: such a row says nothing, and must not keep the others from being
read.
"""

from collections.abc import Sequence
from math import isfinite
from typing import Final

from evaluator.history.entry import (
    Entry,
    bars_from,
    bars_text,
    can_be_dated,
    loops_from,
    loops_text,
)
from evaluator.parts import NAMES

COLUMNS: Final = (
    *("chart", "take", "take_file", "student", "part", "rubric", "scoring"),
    *("played_at", "graded_at", "complete", "bpm", *NAMES, "bars", "findings", "loops"),
)
"""Of the table `grade`."""
FIELDS: Final = ("chart", "title", "chart_file", "chart_bars", *COLUMNS[1:])
"""What `entry_from` wants to know, in this order."""
TEXTS: Final = ("chart", "title", "chart_file", "take", "take_file", "student", "part", "rubric")


def row_of(entry: Entry, chart: int) -> tuple[object, ...]:
    """An entry as a row; `chart` is the number of its chart in the file."""
    kept = {
        **{name: getattr(entry, name) for name in COLUMNS[1:] if name not in NAMES},
        **entry.marks,
        "bars": bars_text(entry.bars),
        "findings": " ".join(entry.findings),
        "loops": loops_text(entry.loops),
    }
    return chart, *(kept[name] for name in COLUMNS[1:])


def entry_from(row: Sequence[object]) -> Entry | None:
    """The entry of a row; None if it is none."""
    kept = dict(zip(FIELDS, row, strict=True))
    marks = {name: kept.pop(name) for name in NAMES}
    if not (
        all(isinstance(kept[name], str) for name in (*TEXTS, "bars", "findings"))
        and all(isinstance(kept[name], int) for name in ("chart_bars", "scoring", "complete"))
        and all(mark is None or _is_number(mark) for mark in marks.values())
        and _is_number(kept["bpm"])
        and all(can_be_dated(kept[name]) for name in ("played_at", "graded_at"))
    ):
        return None
    try:
        kept["bars"] = bars_from(str(kept["bars"]))
        # What older versions of the program kept says nothing of what to practise.
        kept["loops"] = () if kept["loops"] is None else loops_from(str(kept["loops"]))
    except (ValueError, AttributeError, TypeError, OverflowError):
        return None
    kept["complete"] = bool(kept["complete"])
    kept["findings"] = tuple(str(kept["findings"]).split())
    return Entry(marks=marks, **kept)  # type: ignore[arg-type]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and isfinite(value)
