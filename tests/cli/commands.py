"""Runs the command as a person does: in a process of its own, in a folder with files."""

import os
import subprocess
import sys
from pathlib import Path

from evaluator.chart import read_chart
from tests.playing import Fault, play, to_midi

CHART = """\
title: Copper Kettle Row
key: D major
tempo: 96
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Verse]
| D | A | Bm7 | G |
  Down by the kettle where the lane runs thin
| D | A | G | A |
  somebody's humming what the rain let in

[Chorus]
| G | Em7 | A | D |
  Row on, row on, the copper is warm
| D | x4
"""


def take(*faults: Fault, without: tuple[int, ...] = ()) -> bytes:
    """A take of that chart with known mistakes, as a MIDI file."""
    graph = read_chart(CHART)
    order = [index for index in graph.written if graph.bars[index].number not in without]
    return to_midi(play(graph, order, faults=faults))


def evaluator(
    folder: Path, *words: str, raw_words: tuple[bytes, ...] = (), **environment: str
) -> subprocess.CompletedProcess[str]:
    """The command, run in a folder; `environment` is added to the usual one."""
    known = {"PATH": os.environ.get("PATH", ""), "PYTHONIOENCODING": "utf-8", "LC_ALL": "C.UTF-8"}
    known["EVALUATOR_HISTORY"] = f"{folder}-history"
    arguments: list[str | bytes] = [sys.executable, "-m", "evaluator", *words, *raw_words]
    return subprocess.run(
        arguments,
        cwd=folder,
        env=known | environment,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )


def refused(done: subprocess.CompletedProcess[str], status: int) -> str:
    """What was said of a mistake, after checking how it ended: no report, no traceback."""
    assert done.returncode == status, done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    return done.stderr
