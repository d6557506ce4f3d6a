"""From a chart and a take to a report: in what order are the parts asked?

The data flow of the whole program in one function, value in, value out. A chart is
prepared once for all its takes.
"""

from dataclasses import dataclass, replace

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.follow import Path, follow
from evaluator.judge import judge
from evaluator.judge.gaps import excused, unheard
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import Judgement
from evaluator.practise.plan import plan
from evaluator.report.build import build_report
from evaluator.report.model import Report
from evaluator.take.gaps import gaps_in, told
from evaluator.take.model import Take
from evaluator.take.sound_file import read_take
from evaluator.take.strike import Strike, strikes


@dataclass(frozen=True, slots=True)
class Song:
    """A chart ready to be played against."""

    graph: BarGraph
    file: str


def prepare(chart_text: str, *, chart_file: str = "") -> Song:
    """Read a chart. Raises `ChartError` with every mistake in it."""
    return Song(read_chart(chart_text, file=chart_file), chart_file)


@dataclass(frozen=True, slots=True, eq=False)
class Graded:
    """A take with everything that was found out about it; pages draw from all of it."""

    song: Song
    take: Take
    strikes: tuple[Strike, ...]
    path: Path
    judgement: Judgement
    report: Report


def grade_fully(
    song: Song, midi_bytes: bytes, *, take_file: str = "", rubric: Rubric = STEADY
) -> Graded:
    """Read, follow, judge and report one take. Raises `TakeError`."""
    take = read_take(midi_bytes)
    gaps = gaps_in(midi_bytes)
    if gaps:
        take = replace(take, repairs=(*take.repairs, *map(told, gaps)))
    heard = strikes(take)
    path = unheard(follow(song.graph, heard), gaps)
    judged = judge(song.graph, take, heard, path, rubric=rubric)
    judgement = excused(song.graph, path, judged, gaps)
    report = build_report(
        song.graph, take, judgement, path, chart_file=song.file, take_file=take_file
    )
    report = replace(report, practise=plan(song.graph, judgement, chart_file=song.file))
    return Graded(song, take, heard, path, judgement, report)


def grade_take(
    song: Song, midi_bytes: bytes, *, take_file: str = "", rubric: Rubric = STEADY
) -> Report:
    """The report alone. Raises `TakeError`."""
    return grade_fully(song, midi_bytes, take_file=take_file, rubric=rubric).report
