"""Counts the branches of the core that the core's own tests take, while all tests run.

Switched on by `EVALUATOR_BRANCHES`, which spares running those tests twice. Every process
of the run leaves a file of coverage.py's; `coverage combine` puts them together, and
`tests.bench.branches` says what they come to. What is run while tests are collected counts.

Counting doubles the time of a test. Of one that is given many takes the first cases are counted:
what is said is what is taken at the least.
"""

from collections import Counter
from collections.abc import Generator
from pathlib import Path

import coverage
import pytest

from tests.bench.branches import TESTS

ROOT = Path(__file__).resolve().parents[1]
OWN = tuple(ROOT / name for name in TESTS)
SHORT = tuple(ROOT / "tests" / name for name in ("theory", "chart", "take", "against"))
"""Where a case is a text or a file, and takes no time."""
CASES = 4
"""Of each test elsewhere so many cases are counted."""


class CountedBranches:
    """A plugin of pytest's."""

    def __init__(self) -> None:
        self._coverage = coverage.Coverage(data_suffix=True)
        self._coverage.start()
        self._cases = Counter[str]()

    def pytest_collection_finish(self) -> None:
        self._coverage.stop()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        test = item.nodeid.partition("[")[0]
        self._cases[test] += 1
        few = self._cases[test] <= CASES or _stands_in(SHORT, item.path)
        counted = few and _stands_in(OWN, item.path)
        if counted:
            self._coverage.start()
        try:
            return (yield)
        finally:
            if counted:
                self._coverage.stop()

    def pytest_sessionfinish(self) -> None:
        self._coverage.save()


def _stands_in(places: tuple[Path, ...], path: Path) -> bool:
    return any(path == place or place in path.parents for place in places)
