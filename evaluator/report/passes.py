"""How did a passage go each time it was played, in numbers of its bars?"""

from collections.abc import Iterable
from statistics import median

from evaluator.chart.graph import BarGraph
from evaluator.excerpt.rounds import Round
from evaluator.judge.verdict import Judgement
from evaluator.report.faults import NOT_WRONG, bar_faults
from evaluator.report.model import Pass


def tell_passes(graph: BarGraph, judgement: Judgement, rounds: Iterable[Round]) -> tuple[Pass, ...]:
    """Each time through; nothing of a take that is not of this song."""
    if not judgement.matches:
        return ()
    return tuple(_pass(number, graph, judgement, one) for number, one in enumerate(rounds, start=1))


def _pass(number: int, graph: BarGraph, judgement: Judgement, one: Round) -> Pass:
    verdicts = judgement.bars[one.first : one.last]
    wrong = {
        graph.bars[verdict.bar].number
        for verdict in verdicts
        for fault in bar_faults(verdict, graph, judgement.rubric)
        if fault.kind not in NOT_WRONG
    }
    missing = {bar for finding in one.form if finding.kind == "missing" for bar in finding.bars}
    speeds = [verdict.bpm for verdict in verdicts if verdict.judged]
    return Pass(
        number=number,
        start=one.start,
        end=one.end,
        complete=one.complete,
        bpm=median(speeds) if speeds else 0.0,
        marks=one.marks,
        wrong=tuple(sorted(wrong | missing)),
    )
