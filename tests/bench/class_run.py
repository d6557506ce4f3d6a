"""How fast is a class graded on one core and on two, and how much memory does it take?

    python -m tests.bench.class_run [TAKES ...]

Simulated takes of Kettle Lane, graded by the command itself in processes of its own:
takes per second with one job and with two, their ratio, and the largest memory of the
parent and of a worker at each number of takes (50 and 300 unless others are given).
Figures depend on what else the machine does; the ratio is measured in turns for that
reason, and the best of each is compared.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from evaluator.excerpt.song import Song
from evaluator.grading import grade_take, prepare
from tests.bench.students import FEW, simulate
from tests.bench.table import Row, row_of

ROOT = Path(__file__).resolve().parents[2]
CHART = ROOT / "charts" / "kettle_lane.txt"
DIFFERENT = 12
"""Takes that are simulated; the others are copies, which are graded all the same."""
TURNS = 2
TWO_JOBS = 0.67
"""Of the time of one job: what two free cores should reach."""
POLL = 0.05


@dataclass(frozen=True, slots=True)
class Run:
    """One run of the command."""

    seconds: float
    parent_mb: float
    worker_mb: float
    """Largest of all workers; 0 without any."""


def main() -> None:
    """Print the table."""
    counts = [int(word) for word in sys.argv[1:]] or [50, 300]
    with tempfile.TemporaryDirectory() as scratch:
        print("takes  jobs  takes/s  parent MB  worker MB")
        for count in counts:
            folder = Path(scratch) / str(count)
            fill(folder, count)
            best: dict[int, Run] = {}
            for _ in range(TURNS):
                for jobs in (1, 2):
                    run = grade(folder, jobs)
                    if jobs not in best or run.seconds < best[jobs].seconds:
                        best[jobs] = run
            for jobs, run in best.items():
                rate = count / run.seconds
                print(f"{count:5} {jobs:5} {rate:8.1f} {run.parent_mb:10.0f} {run.worker_mb:10.0f}")
            print(f"two jobs are {best[1].seconds / best[2].seconds:.2f} times as fast as one")


def rows(count: int, turns: int) -> Iterator[Row]:
    """A class of so many takes, on the clock: the command beside grading alone, two jobs
    beside one."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "class"
        fill(folder, count)
        contents = [path.read_bytes() for path in sorted(folder.iterdir())[:DIFFERENT]]
        song = prepare(CHART.read_text(encoding="utf-8"))
        found = [
            (_alone(song, contents, count), grade(folder, 1).seconds, grade(folder, 2).seconds)
            for _ in range(turns)
        ]
    name = f"class of {count}"
    pairs = [(one, alone) for alone, one, _ in found]
    yield row_of(name, pairs, reference="grading them, no more")
    pairs = [(two, one) for _, one, two in found]
    yield row_of(f"{name}, two jobs", pairs, reference="one job", most=TWO_JOBS)


def _alone(song: Song, contents: Sequence[bytes], count: int) -> float:
    """Seconds that grading takes by itself, as if there were so many of these takes."""
    begun = time.perf_counter()
    for content in contents:
        grade_take(song, content)
    return (time.perf_counter() - begun) * count / len(contents)


def fill(folder: Path, count: int) -> None:
    """A folder with so many takes."""
    folder.mkdir()
    text = CHART.read_text(encoding="utf-8")
    takes = [
        simulate(seed, "ordinary", faults=FEW, chart_text=text).midi_bytes
        for seed in range(min(count, DIFFERENT))
    ]
    for number in range(count):
        (folder / f"Student {number} - take.mid").write_bytes(takes[number % len(takes)])


def grade(folder: Path, jobs: int) -> Run:
    """Run the command once, watching its memory."""
    words = [sys.executable, "-m", "evaluator", "grade", str(CHART), str(folder)]
    words += ["--jobs", str(jobs), "--json", os.devnull, "--no-history"]
    started = time.perf_counter()
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, cwd=ROOT) as running:
        parent = worker = 0.0
        while running.poll() is None:
            parent = max(parent, peak_mb(running.pid))
            worker = max([worker, *map(peak_mb, children(running.pid))])
            time.sleep(POLL)
        seconds = time.perf_counter() - started
    if running.returncode:
        raise SystemExit(f"the command ended with {running.returncode}")
    return Run(seconds, parent, worker)


def peak_mb(pid: int) -> float:
    """Largest resident memory of a process so far (Linux), MB."""
    try:
        status = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return 0.0
    row = next((line for line in status.splitlines() if line.startswith("VmHWM")), "VmHWM: 0 kB")
    return int(row.split()[1]) / 1024


def children(pid: int) -> list[int]:
    """Processes that a process has started."""
    try:
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii")
    except OSError:
        return []
    return [int(word) for word in text.split()]


if __name__ == "__main__":
    main()
