"""How long does the largest input that is accepted keep the program busy?

    python -m tests.bench.hostile             # readers, and then whole runs
    python -m tests.bench.hostile graded      # whole runs alone

The cases of `tests.bench.largest` are graded by the command, each in a process of its own: its
seconds of the processor and its largest size. Aims: 20 s and 500 MB, on a machine that does
nothing else.

Each family of `tests.fuzz.heavy` is grown until it is as large as the reader takes, and read
once. That the work grows no faster than the input is held by `tests/fuzz/test_work.py`, which
counts steps; here are the seconds, and what a refusal says. Figures go to the standard output.
"""

import os
import sys
import tempfile
import time
from pathlib import Path
from typing import Final
from unittest import mock

from evaluator.errors import EvaluatorError
from tests.bench.grade import ROOT, run
from tests.bench.largest import CASES
from tests.fuzz.heavy import HEAVY, Reader

SECONDS: Final = 20.0
MEGABYTES: Final = 500.0


def largest(reader: Reader, name: str) -> bytes | str:
    """The family's largest input that the reader takes in; of a count, the largest one."""
    make = reader.families[name]
    once, often = len(make(1000)), len(make(2000))
    if once == often:
        return make(9999)
    return make(max(1, 1000 + int((reader.most * 0.9 - once) / (often - once) * 1000)))


def graded() -> None:
    """Grade every case as large as it may be."""
    print(f"\ngraded by the command, aims {SECONDS:g} s and {MEGABYTES:g} MB")
    for name, case in CASES.items():
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            (folder / "song.txt").write_text(case.chart, encoding="utf-8")
            (folder / "take.mid").write_bytes(case.take())
            own = {"PYTHONPATH": str(ROOT), "EVALUATOR_HISTORY": str(folder / "history")}
            with mock.patch.dict(os.environ, own):
                words = [sys.executable, "-m", "evaluator", "grade", "song.txt", "take.mid"]
                cost = run([*words, *case.words], folder)
        missed = " MISSED" if cost.processor > SECONDS or cost.megabytes > MEGABYTES else ""
        print(f"{cost.processor:7.2f} s {cost.megabytes:6.0f} MB  {name}{missed}", flush=True)


def read() -> None:
    """Read every family."""
    for kind, reader in HEAVY.items():
        print(f"\n{kind}, at most {reader.most:,} bytes")
        for name in reader.families:
            given = largest(reader, name)
            begun = time.process_time()
            try:
                reader.read(given)
            except EvaluatorError as refusal:
                said = str(refusal).splitlines()[0][:60]
            else:
                said = "read"
            print(f"{time.process_time() - begun:7.2f} s  {len(given):>10,}  {name}: {said}")


if __name__ == "__main__":
    if sys.argv[1:] != ["graded"]:
        read()
    graded()
