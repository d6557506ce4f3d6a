"""A section for which the chart allows several patterns, or any rhythm at all."""

from typing import Any

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.excerpt import understood
from evaluator.follow import Path, follow
from evaluator.grading import grade_take, prepare
from evaluator.report.model import Report
from tests.chart.test_choices import HEAD
from tests.playing import play, to_midi

BODY = "| D | G | A | D |\n| Bm | G | A | A |\n"
SHUFFLE = """\
pattern shuffle
  count | 1 . 2 . 3 . 4 . |
  left  | x . . x . . x . |
  right | . x . . x . . x |

"""


def graded(heading: str, played: str) -> Report:
    """What is said of a take in another pattern than the chart's."""
    head = HEAD + SHUFFLE
    verse = "\n[Bridge] pattern stroll\n| Em | C | G | B7 |\n| Em | C | B7 | Em |\n"
    take = play(read_chart(f"{head}[Verse] {played}\n{BODY}{verse}"), jitter_ms=8, seed=3)
    return grade_take(prepare(f"{head}[Verse] {heading}\n{BODY}{verse}"), to_midi(take))


@pytest.mark.parametrize("played", ["pattern stroll", "pattern still"])
def test_either_pattern_is_right(played: str) -> None:
    report = graded("pattern stroll or still", played)
    assert report.marks["rhythm"] is not None
    assert report.marks["rhythm"] >= 97
    assert not any(bar.verdict.rhythm.faults for bar in report.bars)


def test_a_pattern_that_is_none_of_them_is_not() -> None:
    right = graded("pattern stroll or still", "pattern still")
    wrong = graded("pattern stroll or still", "pattern shuffle")
    assert wrong.marks["rhythm"] is not None
    assert right.marks["rhythm"] is not None
    assert wrong.marks["rhythm"] < right.marks["rhythm"] - 5


@pytest.mark.parametrize("played", ["pattern stroll", "pattern still", "pattern shuffle"])
def test_where_any_rhythm_will_do_none_is_judged(played: str) -> None:
    report = graded("pattern free", played)
    assert all(bar.verdict.rhythm.score is None for bar in report.bars[:8])
    assert all(bar.verdict.rhythm.score is not None for bar in report.bars[8:])
    assert report.marks.overall >= 97


@pytest.mark.parametrize(("played", "times"), [("stroll", 1), ("still", 2)])
def test_a_take_is_followed_again_only_where_another_pattern_was_played(
    played: str, times: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    followed: list[BarGraph] = []

    def counted(graph: BarGraph, *given: Any) -> Path:
        followed.append(graph)
        return follow(graph, *given)

    monkeypatch.setattr(understood, "follow", counted)
    report = graded("pattern stroll or still", f"pattern {played}")
    assert (len(followed), report.marks.overall >= 97) == (times, True)
