"""A lesson from end to end: a chart is handed out, played, and graded by the command.

The command runs in a process of its own, as a teacher runs it; what it says is read from
its JSON. The takes come from `tests.playing`, a little uneven as people play.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from tests.cli.commands import evaluator
from tests.playing import Fault, Performance, play, to_midi

HEADER = """\
title: Nine Umbrellas
key: D major
tempo: 96
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

"""
SONG = (
    HEADER
    + """\
[Verse 1]
| D | A | Bm7 | G (Gadd9) |
  Nine umbrellas on the stair
| D | A | G / Em7 / | A |
  eight were never really there
or | D | Em7 | Em7 | A |

[Chorus]
| G | D/F# | Em7 | A7 |
  Open them, open them, one after one
| G | D/F# | 2/4: A | D |
  the rain is a rumour, the rumour is done
| D | x4

[Verse 2]
| D | Bm7 | G | A |
  Nine umbrellas in the hall
| Em7 | A | D | F#7 |
  seven leaning on the wall

[Solo] optional
| Bm7 | G | Em7 | A7 |

[Chorus] tail x2-4

[Ending]
| G | A | <D> |
"""
)
"""Bars from 1: Verse 1 has 1 to 8, Chorus 1 9 to 20 (the bar of two beats is 15, the tail 17
to 20), Verse 2 21 to 28, the solo 29 to 32, Chorus 2 33 to 44 (its tail 41 to 44), the ending
45 to 47."""

UNEVEN: dict[str, Any] = {"jitter_ms": 8.0, "spread_ms": 5.0, "uneven": 5.0, "wander_pct": 1.0}
"""How a tidy student plays."""


@dataclass(frozen=True, slots=True)
class Graded:
    """What the command said of a take: its JSON report."""

    fields: dict[str, Any]

    @property
    def faults(self) -> dict[int, list[str]]:
        """What is said of each bar of the chart that is not right, over all its playings."""
        said: dict[int, list[str]] = {}
        for bar in self.fields["bars"]:
            if bar["faults"]:
                said.setdefault(bar["bar"], []).extend(fault["say"] for fault in bar["faults"])
        return said

    @property
    def findings(self) -> list[dict[str, Any]]:
        """What is held against the form."""
        return [one for one in self.fields["form"] if one["kind"] != "choice"]

    @property
    def choices(self) -> list[tuple[str, list[int]]]:
        """Legal variations: in what way, and which bars."""
        found = [one for one in self.fields["form"] if one["kind"] == "choice"]
        return [(one["detail"], one["bars"]) for one in found]

    @property
    def order(self) -> list[int]:
        """Numbers of the bars in the order in which they were played."""
        return [bar["bar"] for bar in self.fields["bars"]]

    @property
    def flawless(self) -> bool:
        """Nothing is held against a single bar, nor against the form, as far as it was played."""
        scores = [self.fields["scores"][part] for part in ("chord", "bass", "rhythm")]
        told = self.faults or self.findings
        return not told and all(score is None or score >= 99 for score in scores)


def grade(folder: Path, chart: str, take: bytes) -> Graded:
    """Run `evaluator grade` on a chart and a take."""
    (folder / "song.txt").write_text(chart, encoding="utf-8")
    (folder / "take.mid").write_bytes(take)
    done = evaluator(folder, "grade", "song.txt", "take.mid", "--json", "-")
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    return Graded(json.loads(done.stdout))


def performed(
    chart: str,
    *faults: Fault,
    without: Iterable[int] = (),
    order: Sequence[int] | None = None,
    **manner: Any,
) -> Performance:
    """The song as a tidy student plays it, with these faults.

    `without` are numbers of bars left out, `order` all numbers in order instead; an `or`
    line is asked for by the negative numbers of its bars.
    """
    graph = read_chart(chart)
    if order is None:
        order = [graph.bars[index].number for index in graph.written]
    left_out = set(without)
    bars = [_index(graph, number) for number in order if number not in left_out]
    return play(graph, bars, faults=faults, seed=7, **(UNEVEN | manner))


def graded(folder: Path, chart: str, *faults: Fault, **playing: Any) -> Graded:
    """Play and grade; `playing` as for `performed`."""
    return grade(folder, chart, to_midi(performed(chart, *faults, **playing)))


def _index(graph: BarGraph, number: int) -> int:
    alternative = 1 if number < 0 else 0
    (index,) = {
        bar.index
        for bar in graph.bars
        if bar.number == abs(number) and bar.alternative == alternative
    }
    return index
