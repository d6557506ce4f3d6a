"""Which mutants of the verdicts and the follower's moves are to be tried, and how many lived?

    pip install mutmut
    mutmut run --max-children 1 'evaluator.judge.bass.x__right__mutmut_1'   # makes them all
    mutmut run --max-children 1 $(python -m tests.bench.mutants 400 1)
    python -m tests.bench.mutants 400 1 --told

Trying all of them takes hours, so a sample is drawn: how many, and the seed of the draw. A
mutant is a small change to the code (settings in `pyproject.toml`); the tests have to turn
red, else it lived. `mutmut show NAME` shows one.
"""

import json
import random
import sys
from collections import Counter
from pathlib import Path

LIVED = 0
"""Exit code of pytest when all tests passed; any other, a time-out as well, is a kill."""


def main(words: list[str]) -> int:
    """Print the names of the sample, or what became of it."""
    count, seed = map(int, words[:2])
    codes: dict[str, int | None] = {}
    for meta in sorted(Path("mutants").rglob("*.meta")):
        codes |= json.loads(meta.read_text("utf-8"))["exit_code_by_key"]
    names = sorted(codes)
    random.Random(seed).shuffle(names)
    sample = sorted(names[:count])
    if "--told" not in words:
        print(*sample)
        return 0
    tried, killed = Counter[str](), Counter[str]()
    for name in sample:
        module = ".".join(name.split(".")[1:3])
        for key in (module, "all"):
            tried[key] += codes[name] is not None
            killed[key] += codes[name] not in (None, LIVED)
        if codes[name] == LIVED:
            print(f"lived: {name}")
    for key, number in sorted(tried.items()):
        print(f"{key:20}{killed[key]:5} of {number:5} killed {100 * killed[key] / number:6.1f} %")
    print(f"drawn from {len(names)} with seed {seed}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
