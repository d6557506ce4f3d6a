"""Counts the branches of the core that the core's own tests take, while all tests run.

Switched on by `EVALUATOR_BRANCHES`, which spares running those tests twice. Every process
of the run leaves a file of coverage.py's; `coverage combine` puts them together, and
`tests.bench.branches` says what they come to. What is run while tests are collected counts,
in the first of the processes, since all of them collect the same. What is drawn by chance does
not: a branch that is taken on lucky days alone is not held by a test. Nor does what plays many
songs or names all chords: the tests beside it take the same branches, and counting costs time.
"""

from collections.abc import Generator
from pathlib import Path

import coverage
import pytest
from hypothesis import is_hypothesis_test

from tests.bench.branches import TESTS

ROOT = Path(__file__).resolve().parents[1]
OWN = tuple(ROOT / name for name in TESTS)
WIDE = {
    ROOT / "tests" / name
    for name in (
        *("follow/test_kernel.py", "follow/test_likeness.py", "follow/test_manners.py"),
        "theory/test_naming.py",
    )
}


class CountedBranches:
    """A plugin of pytest's."""

    def __init__(self, *, first: bool) -> None:
        self._coverage = coverage.Coverage(data_suffix=True)
        if first:
            self._coverage.start()

    def pytest_collection_finish(self) -> None:
        self._coverage.stop()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        drawn = is_hypothesis_test(getattr(item, "obj", None))
        counted = not drawn and item.path not in WIDE
        own = counted and any(path in (item.path, *item.path.parents) for path in OWN)
        if own:
            self._coverage.start()
        try:
            return (yield)
        finally:
            if own:
                self._coverage.stop()

    def pytest_sessionfinish(self) -> None:
        self._coverage.save()
