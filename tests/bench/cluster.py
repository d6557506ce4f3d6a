"""How fast does a cluster grade, is every take there once, and how much memory is needed?

    python -m tests.bench.cluster [--takes 10000]

Simulated takes of a chart of eight bars, graded by the command itself: first on a real
scheduler with two worker processes on loopback, of which one is killed (SIGKILL) when half
of the takes are through, then by two jobs on this machine. Of each: takes per second,
largest memory of the command at each fifth of the way and at the end, files in the gradebook
and how many of them stand in it more or less than once. The gradebooks must be the same.

A take of eight bars is graded in some hundredths of a second, so that what a cluster costs
beside the grading shows more than with whole songs. Seconds depend on what else the machine
does; the two runs follow each other. Needs Linux (`/proc`).
"""

import argparse
import csv
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from tests.batch.dask_cluster import ROOT, Running, cluster
from tests.bench.students import FEW, simulate

CHART: Final = """\
title: Short Row
key: D major
tempo: 112

pattern walk
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Verse]
| D | A | Bm7 | G |
  Down by the kettle where the lane runs thin
| D | A | G | D |
"""
DIFFERENT: Final = 60
"""Takes that are simulated; the others are copies, which are graded all the same."""
POLL: Final = 0.05
PARTS: Final = 5


@dataclass(slots=True)
class Run:
    """One run of the command."""

    seconds: float = 0.0
    memory_mb: list[float] = field(default_factory=list)
    """At each fifth of the takes, the largest until then; at last the largest of all."""
    killed: int = 0
    """Process of the worker that was killed."""


def main() -> None:
    """Print what was found; end with 1 if a take is lost or doubled."""
    options = argparse.ArgumentParser()
    options.add_argument("--takes", type=int, default=10_000)
    count = options.parse_args().takes
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        names = fill(folder, count)
        with cluster(folder) as running:
            far = grade(folder, count, "cluster", ["--cluster", running.address], running)
        near = grade(folder, count, "local", ["--jobs", "2"])
        wrong = [
            tell(kind, run, folder, names) for kind, run in (("cluster", far), ("local", near))
        ]
        same = (folder / "cluster.csv").read_bytes() == (folder / "local.csv").read_bytes()
    print(f"worker {far.killed} was killed in the middle of the run on the cluster")
    print(f"the gradebooks are {'the same' if same else 'NOT THE SAME'}")
    print(f"cluster against local: {near.seconds / far.seconds:.2f} times the takes per second")
    raise SystemExit(any(wrong) or not same)


def fill(folder: Path, count: int) -> list[str]:
    """The chart and a folder with so many takes; their names as the gradebook has them."""
    (folder / "row.txt").write_text(CHART, encoding="utf-8")
    (folder / "takes").mkdir()
    takes = [
        simulate(seed, "ordinary", faults=FEW, chart_text=CHART).midi_bytes
        for seed in range(min(count, DIFFERENT))
    ]
    names = [f"takes/Student {number:06} - take.mid" for number in range(count)]
    for number, name in enumerate(names):
        (folder / name).write_bytes(takes[number % len(takes)])
    return names


def grade(
    folder: Path, count: int, kind: str, crew: list[str], running: Running | None = None
) -> Run:
    """Run the command, watching its memory; kill a worker of the cluster half-way."""
    words = [sys.executable, "-m", "evaluator", "grade", "row.txt", "takes"]
    words += ["--csv", f"{kind}.csv", "--no-history", *crew]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    run, journal = Run(), Lines(folder / f"{kind}.csv.unfinished")
    started = time.perf_counter()
    with subprocess.Popen(words, cwd=folder, env=environment, stdout=subprocess.DEVNULL) as command:
        peak = 0.0
        while command.poll() is None:
            peak = max(peak, peak_mb(command.pid))
            done = journal.count()
            if done >= count * (len(run.memory_mb) + 1) / PARTS:
                run.memory_mb.append(peak)
            if running is not None and not run.killed and done >= count / 2:
                run.killed = running.worker_pids()[0]
                os.kill(run.killed, signal.SIGKILL)
            time.sleep(POLL)
        run.seconds = time.perf_counter() - started
    run.memory_mb.append(peak)
    if command.returncode:
        raise SystemExit(f"the command ended with {command.returncode}")
    return run


def tell(kind: str, run: Run, folder: Path, names: list[str]) -> int:
    """Print the figures of a run; the number of takes that are not there exactly once."""
    with (folder / f"{kind}.csv").open(encoding="utf-8-sig", newline="") as file:
        found = Counter(row["file"] for row in csv.DictReader(file) if row["status"] == "graded")
    wrong = sum(found[name] != 1 for name in {*names, *found})
    memory = ", ".join(f"{peak:.0f}" for peak in run.memory_mb)
    print(
        f"{kind:8} {len(names) / run.seconds:6.1f} takes/s ({run.seconds:.0f} s), "
        f"client at most {memory} MB, {found.total()} takes in the gradebook, "
        f"{wrong} of them not exactly once"
    )
    return wrong


class Lines:
    """How many outcomes a run has put down."""

    def __init__(self, path: Path) -> None:
        self._path, self._place, self._count = path, 0, -1

    def count(self) -> int:
        """So far; the first line is no outcome. What was seen stays counted."""
        if self._path.exists():
            with self._path.open("rb") as file:
                file.seek(self._place)
                more = file.read()
            self._place += len(more)
            self._count += more.count(b"\n")
        return max(0, self._count)


def peak_mb(pid: int) -> float:
    """Largest resident memory of a process so far, MB."""
    try:
        status = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return 0.0
    row = next((line for line in status.splitlines() if line.startswith("VmHWM")), "VmHWM: 0 kB")
    return int(row.split()[1]) / 1024


if __name__ == "__main__":
    main()
