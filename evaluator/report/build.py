"""What is the report on this take?

Brings the verdicts, which know bars by their index, into the words of the lesson. All
judging has been done before; nothing here changes a verdict.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path
from evaluator.judge.marks import is_counted
from evaluator.judge.verdict import Judgement, Touch
from evaluator.report.faults import bar_faults, troubles
from evaluator.report.fixes import fix_first
from evaluator.report.form_told import say_all
from evaluator.report.headline import headline, stops_early
from evaluator.report.layout import lay_out
from evaluator.report.manners import tell_manners
from evaluator.report.model import ChartFacts, Report, ReportedBar, ReportedFinding, TakeFacts
from evaluator.report.reckoning import reckon
from evaluator.report.remarks import remarks
from evaluator.report.sentences import LET_PASS
from evaluator.report.touch import tell_touch
from evaluator.take.model import Take


def build_report(
    graph: BarGraph,
    take: Take,
    judgement: Judgement,
    path: Path,
    *,
    chart_file: str = "",
    take_file: str = "",
) -> Report:
    """The report on one take of one song; `judgement.bars` follow `path.bars` one for one.

    A take that does not match the chart gets its headline, and no bars, findings or
    advice: there is nothing in it to point at.
    """
    shown = judgement
    if not judgement.matches:
        shown = replace(judgement, bars=(), form=(), matches=False, touch=Touch())
    played = Counter(verdict.bar for verdict in shown.bars)
    found = [
        trouble for verdict in shown.bars for trouble in troubles(verdict, graph, judgement.rubric)
    ]
    manners = tell_manners(graph, shown)
    touch = tell_touch(graph, shown)
    return Report(
        chart=ChartFacts(graph.title, chart_file, graph.count),
        take=TakeFacts(
            file=take_file,
            seconds=take.seconds,
            notes=len(take),
            transposed=path.transposed if shown.bars else 0,
            complete=not stops_early(graph, judgement, path),
            repairs=tuple(repair.say for repair in take.repairs),
        ),
        marks=judgement.marks,
        reckoning=reckon(judgement),
        tempo=judgement.tempo,
        matches=judgement.matches,
        headline=headline(graph, judgement, path),
        remarks=(*remarks(graph, take, judgement, path), *(one.say for one in manners)),
        manners=manners,
        fix_first=fix_first(graph, found, shown, played, touch),
        bars=_bars(graph, shown),
        form=_form(graph, shown, played),
        layout=lay_out(graph, shown),
        touch=touch,
    )


def _bars(graph: BarGraph, judgement: Judgement) -> tuple[ReportedBar, ...]:
    return tuple(
        ReportedBar(
            verdict,
            number=graph.bars[verdict.bar].number,
            section=graph.bars[verdict.bar].section,
            cue=graph.bars[verdict.bar].cue,
            faults=bar_faults(verdict, graph, judgement.rubric),
        )
        for verdict in judgement.bars
    )


def _form(
    graph: BarGraph, judgement: Judgement, played: Mapping[int, int]
) -> tuple[ReportedFinding, ...]:
    """Every finding in a sentence; what the rubric lets pass is said to be let pass."""
    told = say_all(judgement.form, graph, played)
    return tuple(
        ReportedFinding(
            finding,
            sentence
            + (
                ""
                if finding.kind == "choice" or is_counted(finding, judgement.rubric)
                else LET_PASS
            ),
        )
        for finding, sentence in zip(judgement.form, told, strict=True)
    )
