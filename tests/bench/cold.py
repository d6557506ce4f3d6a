"""How long does each command take from nothing, beside a process that does the least?

The floor of a command is a Python that imports what it cannot do without and reads the
same file. Processes are counted by the seconds of the processor, since those on the clock
are everybody's.
"""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from tests.bench.grade import desk, run
from tests.bench.table import Row, Run, beside

ARGPARSE: Final = ("-c", "import argparse")
READING: Final = ("-c", "import argparse; open('song.txt').read().split()")
STORE: Final = ("-c", "import argparse, sqlite3, platformdirs")
PORTS: Final = ("-c", "import argparse, importlib.util; importlib.util.find_spec('rtmidi')")
TAKE: Final = ("-m", "tests.bench.floor", "take.mid")

COMMANDS: Final[tuple[tuple[str, Sequence[str], str, float | None], ...]] = (
    ("--help", ARGPARSE, "argparse", 1.5),
    ("grade song.txt take.mid", TAKE, "numpy, mido, rich, the take", 2.0),
    ("demo", TAKE, "numpy, mido, rich, a take", None),
    ("listen --help", ARGPARSE, "argparse", None),
    ("ports", PORTS, "argparse", None),
    ("history", STORE, "argparse, sqlite3, platformdirs", None),
    ("chart check song.txt", READING, "argparse, the chart", None),
    ("chart show song.txt", READING, "argparse, the chart", None),
    ("completion --help", ARGPARSE, "argparse", None),
)
"""What is typed, its floor and what that does, and the aim."""


def cold_starts(turns: int) -> Iterator[Row]:
    """A row for each command."""
    with desk() as folder:
        for words, floor, reference, most in COMMANDS:
            work = _process(["-m", "evaluator", *words.split()], folder), _process(floor, folder)
            yield beside(words, work, reference=reference, turns=turns, most=most)


def _process(words: Sequence[str], folder: Path) -> Run:
    return lambda: run([sys.executable, *words], folder).processor
