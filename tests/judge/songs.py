"""Small songs for the judges, none of them anyone's, and takes of them."""

from functools import lru_cache
from typing import Any

from evaluator.chart import BarGraph, read_chart
from evaluator.follow import follow
from evaluator.judge import Judgement, judge
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.take.strike import strikes
from tests.judge.truth_path import judged, take_of
from tests.playing import Fault, play

HEAD = """title: Kettle Lane
key: D major
tempo: 96
bass: A = C#

pattern stroll
  left  | x . . . x . . . |
  right | . . x . . x x . |

"""
VERSE = """[Verse]
| D | A | Bm7 | G |
| D (Dsus2) | A | G / Em7 / | A |
"""
CHORUS = """[Chorus]
| G | D/F# | 2/4: A | D |
| D | x4
"""
SONG = HEAD + VERSE + CHORUS + "[Bridge] optional\n| Bm7 | G | Em7 | A |\n[Chorus] tail x3\n"


@lru_cache(maxsize=64)
def song(text: str = SONG) -> BarGraph:
    """The song of a chart text."""
    return read_chart(text)


def take(
    *faults: Fault, graph: BarGraph | None = None, bars: list[int] | None = None, **manner: Any
) -> Judgement:
    """The verdict on a take with these faults along its true path."""
    graph = graph or song()
    return judged(graph, play(graph, bars, faults=faults, **manner))


def followed(*faults: Fault, rubric: Rubric = STEADY) -> Judgement:
    """The verdict on a take with these faults along the path that was found in it."""
    graph = song()
    found = take_of(play(graph, faults=faults))
    struck = strikes(found)
    return judge(graph, found, struck, follow(graph, struck), rubric=rubric)


def order(graph: BarGraph, *numbers: int) -> list[int]:
    """Bars of the main lines by their numbers."""
    by_number = {graph.bars[index].number: index for index in graph.written}
    return [by_number[number] for number in numbers]
