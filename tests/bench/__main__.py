"""What does everything cost, and has anything become slower?

    python -m tests.bench                                  the whole table, some minutes
    python -m tests.bench --quick                          fewer turns, a smaller class
    python -m tests.bench --json now.json                  keep it
    python -m tests.bench --json now.json --against before.json

Every row is a ratio to a reference measured in the same run (`tests.bench.table`). With
`--against` the exit status is 1 if a row became slower by more than its noise.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.bench import class_run
from tests.bench.cold import cold_starts
from tests.bench.stages import stages
from tests.bench.table import Row, change, lines, read, write

CLASS, SMALL_CLASS = 300, 40
"""Takes of a class."""
TURNS, FEW_TURNS = 21, 9
CLASS_TURNS, FEW_CLASS_TURNS = 3, 1


def rows(*, quick: bool) -> Iterator[Row]:
    """Every row of the table."""
    turns = FEW_TURNS if quick else TURNS
    yield from cold_starts(turns)
    yield from stages(turns)
    count = SMALL_CLASS if quick else CLASS
    yield from class_run.rows(count, FEW_CLASS_TURNS if quick else CLASS_TURNS)


def main() -> int:
    """Measure, print, keep, compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer turns, a smaller class")
    parser.add_argument("--json", type=Path, metavar="FILE", help="keep the table")
    parser.add_argument("--against", type=Path, metavar="FILE", help="an earlier table")
    options = parser.parse_args()
    before = read(options.against) if options.against else None
    found = []
    for row in rows(quick=options.quick):
        print(f"{row.name} ...", file=sys.stderr)
        found.append(row)
    for line in lines(found, before):
        print(line)
    if options.json:
        write(options.json, found)
    return int(any(change(row, (before or {}).get(row.name))[1] for row in found))


if __name__ == "__main__":
    sys.exit(main())
