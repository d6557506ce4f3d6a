"""How is a measured figure shown beside what is aimed at?

A figure is a share or a rate with the number of cases behind it. Tables go to the
standard output, one line a figure; the same figures go to a JSON file if asked.
"""

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from math import isnan
from pathlib import Path
from typing import Literal, TypeVar

Aim = Literal["at least", "at most"]


T = TypeVar("T")


def add_up(of: T, other: T) -> None:
    """Take into the counts of a dataclass those of another: numbers, lists and `Counter`."""
    for field in fields(of):  # type: ignore[arg-type]
        mine, more = getattr(of, field.name), getattr(other, field.name)
        if isinstance(mine, Counter):
            mine.update(more)
        else:
            setattr(of, field.name, mine + more)


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of a table."""

    name: str
    value: float
    cases: int
    """What the value is a share or a mean of; 0 if that is not counted."""
    goal: float | None = None
    aim: Aim = "at least"

    @property
    def reached(self) -> bool | None:
        """Whether the goal is reached; None without a goal or without a case."""
        if self.goal is None or isnan(self.value):
            return None
        return self.value >= self.goal if self.aim == "at least" else self.value <= self.goal


def share(name: str, hits: int, wanted: int, goal: float | None = None) -> Figure:
    """So many of so many; without a case there is no number."""
    return Figure(name, hits / wanted if wanted else float("nan"), wanted, goal)


def per_thousand(name: str, count: int, bars: int, goal: float | None = None) -> Figure:
    """So many in a thousand bars."""
    return Figure(name, 1000 * count / bars if bars else float("nan"), bars, goal, "at most")


def show(title: str, figures: Iterable[Figure], beside: Mapping[str, Sequence[float]]) -> None:
    """Print a table; `beside` gives further columns, by the name of the figure."""
    print(title)
    for figure in figures:
        goal = "" if figure.goal is None else f"{_sign(figure.aim)} {figure.goal:g}"
        verdict = {None: "", True: "reached", False: "NOT reached"}[figure.reached]
        cases = str(figure.cases) if figure.cases else ""
        columns = "".join(f"{value:9.4g}" for value in beside.get(figure.name, ()))
        print(f"  {figure.name:<36}{figure.value:9.4f} {goal:<9}{verdict:<12}{cases:>7}{columns}")


def write(path: Path, tables: Mapping[str, Iterable[Figure]]) -> None:
    """The figures as JSON: {table: [{name, value, cases, goal, aim}]}; no case, no value."""
    tree = {
        title: [{**asdict(f), "value": None if isnan(f.value) else f.value} for f in figures]
        for title, figures in tables.items()
    }
    path.write_text(json.dumps(tree, indent=1) + "\n", encoding="utf-8")


def _sign(aim: Aim) -> str:
    return ">=" if aim == "at least" else "<="
