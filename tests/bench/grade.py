"""How long does a teacher wait for a report, and how much memory does it take?

    python -m tests.bench.grade [RUNS]

Grades a take of four minutes of a chart of more than a hundred bars in a process of its
own, cold each time, and beside it runs the floor: a process that only imports numpy, mido
and rich and reads the same file with mido (`tests.bench.floor`). The two take turns, so
that a busy machine slows both alike; read the ratio of the medians, not the seconds. Also
the help, against a Python that only imports argparse.

Aims: `grade` within 2.0 times the floor and 150 MB; help within 1.5 times its own.
"""

import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final
from unittest import mock

from evaluator.chart import read_chart
from tests.playing import Fault, WrongBass, WrongChord, play, to_midi

ROOT: Final = Path(__file__).resolve().parents[2]
RUNS: Final = 15
SECONDS: Final = 240.0
VERSE: Final = """\
| D | A | Bm7 | G (Gadd9) |
  There is a wardrobe on the hill
| D | A | G / Em7 / | A |
  that opens when the wind is still
or | D | Em7 | Em7 | A |
| Bm7 | A/C# | G | D/F# |
  and all the coats go out to dance
| Em7 | G | A | A7 (A7sus4) |
  in pairs, in rows, in circumstance
"""
CHART: Final = f"""\
title: The Wardrobe on the Hill
key: D major
tempo: 120
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Intro]
| D | G | D | A |

[Verse 1]
{VERSE}
[Chorus]
| G | D/F# | Em7 | D |
  Sleeves up, sleeves down
| G | D/F# | 2/4: A | D (Dsus4) |
| D (Dsus4) | x4

[Verse 2]
{VERSE}
[Chorus] tail x3

[Solo] optional
| Bm7 | G | D | A |
| Bm7 | G | Em7 / A / | D |

[Verse 3]
{VERSE}
[Chorus] tail x2-4

[Ending] tempo 108
| G | A | G | A |
| <D> |
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one process cost."""

    seconds: float
    """On the clock."""
    processor: float
    """Seconds of the processor."""
    megabytes: float
    """Largest resident size."""


def run(words: Sequence[str], folder: Path) -> Cost:
    """Start a process, wait for its end, and read what the system says of it."""
    began = time.perf_counter()
    child = os.fork()
    if not child:
        os.chdir(folder)
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.execv(words[0], list(words))
    _, status, usage = os.wait4(child, 0)
    seconds = time.perf_counter() - began
    if status:
        raise SystemExit(f"{' '.join(words)} ended with {os.waitstatus_to_exitcode(status)}")
    return Cost(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def compare(
    name: str, mine: Sequence[str], floor: Sequence[str], *, where: Path, runs: int
) -> None:
    """Run both in turn and print their medians."""
    run(mine, where), run(floor, where)  # whatever is compiled or cached once
    pairs = [(run(mine, where), run(floor, where)) for _ in range(runs)]
    ours, theirs = ([pair[side] for pair in pairs] for side in (0, 1))
    for label, costs in ((name, ours), ("its floor", theirs)):
        seconds = median(cost.seconds for cost in costs)
        least = min(cost.seconds for cost in costs)
        size = median(cost.megabytes for cost in costs)
        print(f"{label:<20}{seconds:8.3f} s (least {least:.3f}){size:8.0f} MB")
    ratio = median(one.seconds for one in ours) / median(one.seconds for one in theirs)
    least = min(one.seconds for one in ours) / min(one.seconds for one in theirs)
    print(f"{'ratio':<20}{ratio:8.2f}   (of the least {least:.2f})\n")


def four_minutes() -> bytes:
    """A take of four minutes of the chart with three mistakes, as a MIDI file."""
    graph = read_chart(CHART)
    written = sum(graph.bars[index].seconds for index in graph.written)
    faults: list[Fault] = [WrongBass(6, "A"), WrongChord(30, "Gm"), WrongChord(61, "Em")]
    tempo = written / SECONDS
    return to_midi(play(graph, faults=faults, tempo=tempo, jitter_ms=12.0, spread_ms=8.0))


@contextmanager
def desk() -> Iterator[Path]:
    """A folder with `song.txt` and `take.mid`, and an environment for processes in it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "song.txt").write_text(CHART, encoding="utf-8")
        (folder / "take.mid").write_bytes(four_minutes())
        own = {"PYTHONPATH": str(ROOT), "EVALUATOR_HISTORY": str(folder / "history")}
        with mock.patch.dict(os.environ, own):
            # An installed program is compiled once for all; the first run of each does that here.
            os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
            yield folder


def main(runs: int) -> None:
    """Compare what a teacher waits for most."""
    python = sys.executable
    with desk() as folder:
        compare(
            "evaluator grade",
            [python, "-m", "evaluator", "grade", "song.txt", "take.mid"],
            [python, "-m", "tests.bench.floor", "take.mid"],
            where=folder,
            runs=runs,
        )
        compare(
            "evaluator --help",
            [python, "-m", "evaluator", "--help"],
            [python, "-c", "import argparse"],
            where=folder,
            runs=runs,
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else RUNS)
