"""Runs the command as a person does, in a folder with files."""

import contextlib
import io
import os
import subprocess
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from unittest import mock

from evaluator.chart import read_chart
from evaluator.cli.main import main
from tests.playing import Fault, play, to_midi

UNCOMPILED = {"PYTHONDONTWRITEBYTECODE": "1"}
"""For a program under which no file may grow: Python would keep the first half of what it
compiled."""

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


@cache
def take(*faults: Fault, without: tuple[int, ...] = ()) -> bytes:
    """A take of that chart with known mistakes, as a MIDI file."""
    graph = read_chart(CHART)
    order = [index for index in graph.written if graph.bars[index].number not in without]
    return to_midi(play(graph, order, faults=faults))


def evaluator(
    folder: Path, *words: str, raw_words: tuple[bytes, ...] = (), **environment: str
) -> subprocess.CompletedProcess[str]:
    """What a command says when it is run in a folder, in this very process.

    It sees nothing of the surroundings of the tests but the way to programs, and
    `environment`. `program` is the same in a process of its own, which takes about a second
    longer; `tests/cli/test_program.py` holds the two to each other for every command.
    """
    known = surroundings(folder, environment)
    encoding = known["PYTHONIOENCODING"]
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding, newline="") for _ in range(2))
    with (
        mock.patch.dict(os.environ, known, clear=True),
        contextlib.chdir(folder),
        open(os.devnull, encoding="utf-8") as nothing,
        mock.patch.object(sys, "stdin", nothing),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        status = main([*words, *map(os.fsdecode, raw_words)])
    return subprocess.CompletedProcess(words, status, *map(_written, (out, err)))


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    assert isinstance(stream.buffer, io.BytesIO)
    # Line ends as text has them, like those of a process that is read as text.
    return io.TextIOWrapper(io.BytesIO(stream.buffer.getvalue()), stream.encoding).read()


def program(
    folder: Path, *words: str, raw_words: tuple[bytes, ...] = (), **environment: str
) -> subprocess.CompletedProcess[str]:
    """The same as a person starts it: a process of its own."""
    arguments: list[str | bytes] = [sys.executable, "-m", "evaluator", *words, *raw_words]
    return subprocess.run(
        arguments,
        cwd=folder,
        env=surroundings(folder, environment),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )


def surroundings(folder: Path, environment: Mapping[str, str]) -> dict[str, str]:
    """All that a command sees of them; a history of its own is beside the folder."""
    return {
        "PATH": os.environ.get("PATH", ""),
        "PYTHONIOENCODING": "utf-8",
        "LC_ALL": "C.UTF-8",
        "EVALUATOR_HISTORY": f"{folder}-history",
        **environment,
    }


def refused(done: subprocess.CompletedProcess[str], status: int) -> str:
    """What was said of a mistake, after checking how it ended: no report, no traceback."""
    assert done.returncode == status, done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    return done.stderr
