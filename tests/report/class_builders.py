"""Takes of a class made by hand: the song of `builders`, spoiled at chosen bars."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import BarVerdict, FormFinding, Marks
from evaluator.report.class_report import ClassTake
from evaluator.report.class_take import class_take
from tests.report.builders import PERFECT, judgement, report, right_bar, song

SONG = song()


def marks(overall: float, touch: float | None = None) -> Marks:
    return replace(PERFECT, overall=overall, parts={**PERFECT.parts, "touch": touch})


def take(
    student: str,
    spoiled: Mapping[int, BarVerdict] | None = None,
    *,
    file: str = "",
    form: Iterable[FormFinding] = (),
    order: Iterable[int] | None = None,
    overall: float = 90.0,
    touch: float | None = None,
    graph: BarGraph = SONG,
    complete: bool = True,
) -> ClassTake:
    """One graded take; `spoiled` replaces verdicts by the number of the played bar."""
    judged = judgement(graph, order, spoiled=spoiled, form=form, marks=marks(overall, touch))
    told = report(judged, graph, complete=complete)
    return class_take(graph, judged, told, student=student, file=file or f"{student}.mid")


def foreign(student: str, file: str = "") -> ClassTake:
    """A take of another song."""
    judged = judgement(SONG, [], matches=False)
    told = report(judged, SONG)
    return class_take(SONG, judged, told, student=student, file=file or f"{student}.mid")


def bar(number: int, graph: BarGraph = SONG) -> BarVerdict:
    """A right bar by its number in the chart, played in its place."""
    index = next(i for i in graph.written if graph.bars[i].number == number)
    return right_bar(graph, index, number)
