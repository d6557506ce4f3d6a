"""On the machine that decides about changes, a test that is skipped counts as failed; nobody's
own history is written to; Control-C stops what the tests start; and what takes long begins early.

A skip is right on a machine that lacks something, such as an optional library. Where
everything is to be there, set `EVALUATOR_NO_SKIPS`: nothing is passed over in silence.
"""

import gc
import os
import signal
from collections import Counter
from collections.abc import Generator
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, settings

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)
# Unit tests time nothing: other work on the machine is no fault of what is tested.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")
# As the program does; before any test loads numpy.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
NO_SKIPS = bool(os.environ.get("EVALUATOR_NO_SKIPS"))
ROOT = Path(__file__).parent
EARLY = (
    *("live/test_jack.py", "end_to_end/test_surroundings.py", "end_to_end/test_metamorphic.py"),
    *("batch/test_cluster.py", "end_to_end/test_pages_commands.py", "cli/test_grade_class.py"),
    *("live/test_jack_lesson.py", "fuzz/test_corpus.py", "end_to_end/test_places.py"),
    *("live/test_command.py", "end_to_end/test_broken_pipes.py", "judge/test_cut_up.py"),
    *("browser/test_heard.py", "test_marks_in_order.py", "against/test_notation_corpus.py"),
)
"""Files that take long, or wait long, for the number of their tests; those that wait apart from
each other. Left to the end, one of them would keep a worker when the others have nothing to do."""


def pytest_configure(config: pytest.Config) -> None:
    """A shell starts what is to run behind it deaf to Control-C, and its children inherit that."""
    runs_tests = hasattr(config, "workerinput") or not config.getoption("numprocesses", None)
    if os.environ.get("EVALUATOR_BRANCHES") and runs_tests:
        from tests.branches import CountedBranches

        worker = os.environ.get("PYTEST_XDIST_WORKER", "gw0")
        config.pluginmanager.register(CountedBranches(first=worker == "gw0"))
    if not runs_tests:
        config.option.loadscopereorder = False  # the order below is kept
    # All the tests that were collected would be looked through for garbage time and again.
    gc.set_threshold(100_000, 50, 100)
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_sessionstart(session: pytest.Session) -> None:
    """Where several workers collect the same tests, each begins with files of its own: pytest
    compiles a file anew with its asserts, and the others find what one has compiled."""
    worker = getattr(session.config, "workerinput", None)
    if worker is not None:
        number, count = int(worker["workerid"].removeprefix("gw")), worker["workercount"]
        for path in sorted(ROOT.rglob("test_*.py"))[number::count]:
            name = ".".join(path.relative_to(ROOT.parent).with_suffix("").parts)
            with suppress(Exception, pytest.skip.Exception):  # told when the file is collected
                import_module(name)


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Where several workers take a file at a time, the longest files first."""
    if hasattr(config, "workerinput"):
        count = Counter(item.path for item in items)
        early = {ROOT / name: place - len(EARLY) for place, name in enumerate(EARLY)}
        items.sort(key=lambda item: (early.get(item.path, 0), -count[item.path]))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    return _not_skipped((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    return _not_skipped((yield))


def _not_skipped(report: Report) -> Report:
    if NO_SKIPS and report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[-1] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"was to be run here, but: {reason}"
    return report


@pytest.fixture(autouse=True, scope="session")
def history_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Generator[Path, None, None]:
    """A folder of the tests' own for what graded takes leave behind."""
    folder = tmp_path_factory.mktemp("history")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("EVALUATOR_HISTORY", str(folder))
        yield folder
