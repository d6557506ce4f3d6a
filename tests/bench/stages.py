"""What does each stage of grading cost, from the chart's text to the report?

A take of four minutes of a hundred bars (that of `tests.bench.grade`), each stage given
what the one before it made. References: mido reading the same file, librosa's plain time
warping of as many strikes (`tests.bench.warping`), else a fixed piece of Python.
"""

import io
from collections.abc import Iterator, Sequence
from importlib.util import find_spec

import mido

from evaluator.chart.graph import BarGraph
from evaluator.excerpt.song import Song
from evaluator.follow import follow
from evaluator.follow.compiled import follower
from evaluator.follow.grid import lay_out
from evaluator.follow.path import Path
from evaluator.grading import prepare
from evaluator.judge import judge
from evaluator.judge.verdict import Judgement
from evaluator.practise.plan import plan
from evaluator.report.build import build_report
from evaluator.report.json import to_json
from evaluator.show.terminal import print_report
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from evaluator.take.strike import Strike, strikes
from tests.bench.grade import CHART, four_minutes
from tests.bench.live import long_song
from tests.bench.table import Row, beside, processor, yardstick
from tests.bench.warping import beside_librosa

PYTHON = "plain Python"


def stages(turns: int) -> Iterator[Row]:
    """A row for each stage."""
    content = four_minutes()
    song, take = prepare(CHART), read_take(content)
    heard = strikes(take)
    path = follow(song.graph, heard)
    judgement = judge(song.graph, take, heard, path)
    own = processor(yardstick)
    yield beside(
        "parse the chart", (processor(lambda: prepare(CHART)), own), reference=PYTHON, turns=turns
    )
    read = processor(lambda: read_take(content))
    theirs = processor(lambda: list(mido.MidiFile(file=io.BytesIO(content))))
    yield beside("read the take", (read, theirs), reference="mido", turns=turns, most=1.0)
    work = processor(lambda: follow(song.graph, heard))
    yield beside("follow 100 bars", (work, own), reference=PYTHON, turns=turns)
    if find_spec("librosa") is not None:
        ours, dtw = map(processor, beside_librosa())
        name = "follow 700 strikes"
        yield beside(name, (ours, dtw), reference="librosa's dtw", turns=turns, most=1.0)
    work = processor(lambda: judge(song.graph, take, heard, path))
    yield beside("judge 100 bars", (work, own), reference=PYTHON, turns=turns)
    work = processor(lambda: reported(song, take, path, judgement))
    yield beside("report and plan", (work, own), reference=PYTHON, turns=turns)
    graph, struck = long_song()
    work = processor(lambda: listened(graph, struck))
    yield beside(f"live, {len(struck)} strikes", (work, own), reference=PYTHON, turns=turns)


def reported(song: Song, take: Take, path: Path, judgement: Judgement) -> None:
    """The report with its plan, as text and as JSON."""
    report = build_report(song.graph, take, judgement, path, chart_file="", take_file="")
    plan(song.graph, judgement, chart_file="")
    print_report(report, io.StringIO())
    to_json(report)


def listened(graph: BarGraph, struck: Sequence[Strike]) -> None:
    """Every strike into a follower as it would come from the piano."""
    following = follower(lay_out(graph))
    for strike in struck:
        following.push(strike)
