"""Is anything lost, or kept twice, when writers are killed or write at once?

    python -m tests.bench.history [--kills 40] [--writers 8]

Kills: a process keeps take after take and says of each that it is kept; it is killed with
SIGKILL in the middle, forty times, each time on the same file. Whatever it had said to be
kept must be there, once, and the file must be whole. Writers: eight processes keep a
hundred takes each at once, half of them the same takes as their neighbours', beginning
with a file that is not there. SQLite's own `integrity_check` is the outside judge.
"""

import argparse
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Final

from evaluator.history.entry import Entry
from evaluator.history.reading import entries
from evaluator.history.store import opened
from evaluator.parts import NAMES
from tests.history.kept import keep_all

EACH: Final = 100
"""Takes of one writer."""


def entry(number: int, writer: str = "") -> Entry:
    """A take of sixty bars, made up."""
    return Entry(
        chart="c" * 64,
        title="Kettle Lane",
        chart_file="kettle_lane.txt",
        chart_bars=60,
        take=f"{writer}{number:064d}",
        take_file=f"take-{number}.mid",
        student="Anna",
        part="",
        rubric="steady",
        scoring=1,
        played_at=1_000_000.0 + number,
        graded_at=2_000_000.0,
        complete=True,
        bpm=92.0,
        marks=dict.fromkeys(NAMES, 80.0),
        bars=dict.fromkeys(range(1, 61), "chord bass"),
        findings=("missing",),
    )


def write_and_say(file: Path, first: int) -> None:
    """Keep take after take for ever, and say of each when it is kept."""
    number = first
    while True:
        keep_all(file, [entry(number)])
        print(number, flush=True)
        number += 1


def write_among_others(file: Path, writer: int) -> None:
    """Keep a hundred takes, every second one the same as the next writer keeps."""
    while not file.with_name("go").exists():
        time.sleep(0.002)
    for number in range(EACH):
        shared = number % 2 == 0
        whose = f"{writer // 2}s" if shared else f"{writer}o"
        keep_all(file, [entry(number, whose)])


def kills(folder: Path, times: int) -> tuple[int, int, int]:
    """Takes that were said to be kept, of these lost, and kept twice."""
    file, said, chance = folder / "killed.db", set[str](), random.Random(7)
    for turn in range(times):
        process = _started("write", str(file), str(turn * 100_000))
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.15))
        process.send_signal(signal.SIGKILL)
        rest, _ = process.communicate()
        numbers = [turn * 100_000, *map(int, rest.split("\n")[:-1])]
        said |= {f"{number:064d}" for number in numbers}
        _check_whole(file)
    found = Counter(one.take for one in entries(file))
    return len(said), len(said - found.keys()), sum(count > 1 for count in found.values())


def writers(folder: Path, count: int) -> tuple[int, int, float]:
    """Takes that should be there, that are there, and the seconds it took."""
    file = folder / "shared.db"
    processes = [_started("among", str(file), str(writer)) for writer in range(count)]
    time.sleep(1.0)
    begun = time.monotonic()
    (folder / "go").touch()
    for process in processes:
        _, trouble = process.communicate()
        assert process.returncode == 0, trouble
    seconds = time.monotonic() - begun
    _check_whole(file)
    wanted = {
        f"{writer // 2}s{number:064d}" if number % 2 == 0 else f"{writer}o{number:064d}"
        for writer in range(count)
        for number in range(EACH)
    }
    found = [one.take for one in entries(file)]
    assert len(found) == len(set(found))
    assert set(found) == wanted
    return len(wanted), len(found), seconds


def _started(*words: str) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-m", "tests.bench.history", "--as", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _check_whole(file: Path) -> None:
    with opened(file):  # as the next start of the program does
        pass
    connection = sqlite3.connect(file)
    verdict = connection.execute("PRAGMA integrity_check").fetchall()
    connection.close()
    assert verdict == [("ok",)], verdict


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=40)
    parser.add_argument("--writers", type=int, default=8)
    parser.add_argument("--as", nargs=3, dest="role", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.role:
        role, file, number = options.role
        work = write_and_say if role == "write" else write_among_others
        work(Path(file), int(number))
        return
    with tempfile.TemporaryDirectory() as folder:
        said, lost, twice = kills(Path(folder), options.kills)
        print(f"{options.kills} kills: {said} takes kept, {lost} lost, {twice} twice")
        wanted, found, seconds = writers(Path(folder), options.writers)
        pace = options.writers * EACH / seconds
        print(
            f"{options.writers} writers: {options.writers * EACH} writes of {wanted} takes, "
            f"{found} there; {pace:.0f} writes a second"
        )


if __name__ == "__main__":
    main()
