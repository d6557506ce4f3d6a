"""How many of the core's branches do the core's own tests take?

    coverage run -m pytest $(python -m tests.bench.branches --tests)
    coverage json -q -o - | python -m tests.bench.branches

A branch is one way out of a condition or a loop, as coverage.py counts them (settings in
`pyproject.toml`). A folder must have `LEAST` percent of its own; the exit status is 1 where
one has fewer.
"""

import json
import sys
from collections import Counter

LEAST = 95.0
"""Percent: what cannot be reached is to be taken out, and what can be is to be tested."""
TESTS = (
    "tests/theory",
    "tests/chart",
    "tests/take",
    "tests/follow",
    "tests/judge",
    "tests/excerpt",
    "tests/report",
    "tests/practise",
    "tests/against/test_midi_files_damaged.py",
)
"""Damaged MIDI files are held against what other readers make of them; the rest of
`tests/against/` reads what is whole."""


def main() -> int:
    """Print the table of what coverage.py found; 1 where a folder has too few."""
    if sys.argv[1:] == ["--tests"]:
        print(*TESTS)
        return 0
    branches, taken = Counter[str](), Counter[str]()
    for file, found in json.load(sys.stdin)["files"].items():
        for name in (file.replace("\\", "/").split("/")[1], "core"):
            branches[name] += found["summary"]["num_branches"]
            taken[name] += found["summary"]["covered_branches"]
    poor = 0
    for name, count in branches.items():
        share = 100.0 * taken[name] / count
        poor += share < LEAST
        print(f"{name:10}{taken[name]:5} of {count:5} branches {share:6.1f} %")
    return 1 if poor else 0


if __name__ == "__main__":
    sys.exit(main())
