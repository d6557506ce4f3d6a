"""A scheduler and workers of Dask in processes of their own, on loopback.

They are started as a person starts them, by the commands `dask scheduler` and `dask worker`;
a worker's nurse (its nanny) brings a worker that died to life again.
"""

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[2]
SECONDS: Final = 180.0
"""Of waiting: on a busy machine a process takes its time to start."""


@dataclass(slots=True)
class Running:
    """A cluster that runs."""

    folder: Path
    address: str = ""
    scheduler: "subprocess.Popen[bytes] | None" = None
    nannies: list["subprocess.Popen[bytes]"] = field(default_factory=list)

    def worker_pids(self) -> list[int]:
        """The processes that do the work, one under each nanny."""
        return [pid for nanny in self.nannies for pid in children(nanny.pid) if works(pid)]

    def add_worker(self, path: str = str(ROOT)) -> None:
        """One more, which finds modules in `path`."""
        words = ["dask", "worker", self.address, "--nworkers", "1", "--nthreads", "1"]
        words += ["--local-directory", str(self.folder), "--no-dashboard"]
        self.nannies.append(started(words, self.folder / f"worker{len(self.nannies)}.log", path))


def started(words: list[str], log: Path, path: str = str(ROOT)) -> "subprocess.Popen[bytes]":
    command = [sys.executable, "-W", "ignore", "-m", *words]
    environment = {**os.environ, "PYTHONPATH": path, "DASK_DISTRIBUTED__WORKER__DAEMON": "false"}
    with log.open("wb") as file:
        return subprocess.Popen(
            command, stdout=file, stderr=file, env=environment, start_new_session=True
        )


@contextmanager
def cluster(folder: Path, workers: int = 2) -> Iterator[Running]:
    """A cluster whose processes all end with it."""
    running = Running(folder)
    told = folder / "scheduler.json"
    words = ["dask", "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard"]
    try:
        running.scheduler = started(
            [*words, "--scheduler-file", str(told)], folder / "scheduler.log"
        )
        wait_until(lambda: told.exists() and told.read_text().rstrip().endswith("}"))
        running.address = json.loads(told.read_text())["address"]
        for _ in range(workers):
            running.add_worker()
        wait_until(lambda: len(running.worker_pids()) == workers)
        yield running
    finally:
        for process in (*running.nannies, running.scheduler):
            if process is not None:
                end(process)


def end(process: "subprocess.Popen[bytes]") -> None:
    """A process and everything it has started."""
    pids = [process.pid, *children(process.pid)]
    for pid in pids:
        try:
            os.kill(pid, signal.SIGKILL)
        except ProcessLookupError:
            continue
    process.wait(timeout=SECONDS)


def wait_until(true: "object") -> None:
    """Look again and again; fail after three minutes."""
    assert callable(true)
    deadline = time.monotonic() + SECONDS
    while not true():
        assert time.monotonic() < deadline, "what was waited for never came"
        time.sleep(0.05)


def children(pid: int) -> list[int]:
    """Processes that a process has started (Linux)."""
    found = []
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            found += [int(word) for word in task.read_text(encoding="ascii").split()]
        except OSError:
            continue
    return found


def works(pid: int) -> bool:
    """Whether a child of a nanny is the worker, and not the tracker of its resources."""
    try:
        line = Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return False
    return re.search(rb"spawn_main|forkserver", line) is not None
