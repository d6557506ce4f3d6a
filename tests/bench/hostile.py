"""How long does the largest input that is accepted keep the program busy?

    python -m tests.bench.hostile

Each family of `tests.fuzz.heavy` is grown until it is as large as the reader takes, and read
once. That the work grows no faster than the input is held by `tests/fuzz/test_work.py`, which
counts steps; here are the seconds, and what a refusal says. Figures go to the standard output.
"""

import time

from evaluator.errors import EvaluatorError
from tests.fuzz.heavy import HEAVY, Reader


def largest(reader: Reader, name: str) -> bytes | str:
    """The family's largest input that the reader takes in; of a count, the largest one."""
    make = reader.families[name]
    once, often = len(make(1000)), len(make(2000))
    if once == often:
        return make(9999)
    return make(max(1, 1000 + int((reader.most * 0.9 - once) / (often - once) * 1000)))


def main() -> None:
    """Measure every family."""
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
    main()
