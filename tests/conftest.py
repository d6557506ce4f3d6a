"""On the machine that decides about changes, a test that is skipped counts as failed; nobody's
own history is written to; and Control-C stops what the tests start.

A skip is right on a machine that lacks something, such as an optional library. Where
everything is to be there, set `EVALUATOR_NO_SKIPS`: nothing is passed over in silence.
"""

import os
import signal
from collections.abc import Generator
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, settings

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)
# Unit tests time nothing: other work on the machine is no fault of what is tested.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")
NO_SKIPS = bool(os.environ.get("EVALUATOR_NO_SKIPS"))


def pytest_configure(config: pytest.Config) -> None:
    """A shell starts what is to run behind it deaf to Control-C, and its children inherit that."""
    runs_tests = hasattr(config, "workerinput") or not config.getoption("numprocesses", None)
    if os.environ.get("EVALUATOR_BRANCHES") and runs_tests:
        from tests.branches import CountedBranches

        worker = os.environ.get("PYTEST_XDIST_WORKER", "gw0")
        config.pluginmanager.register(CountedBranches(first=worker == "gw0"))
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


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
