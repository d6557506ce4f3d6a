"""What the tests at a real port need: a JACK server, or a reason to skip."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.live.jack import ENVIRONMENT, SERVER, Jack


@pytest.fixture(scope="module")
def jack(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Jack]:
    """One server for all tests of a file, no longer: the next file may run elsewhere."""
    if shutil.which("jackd") is None:
        pytest.skip("jackd is not installed (Debian: jackd2)")
    rtmidi = pytest.importorskip("rtmidi", reason="python-rtmidi is not installed")
    if rtmidi.API_UNIX_JACK not in rtmidi.get_compiled_api():
        pytest.skip("this python-rtmidi was built without JACK")
    import fcntl

    # Two files at a time, or two runs, take turns.
    with (Path(tempfile.gettempdir()) / f"{SERVER}.lock").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        with pytest.MonkeyPatch.context() as patch:
            for name, value in ENVIRONMENT.items():
                patch.setenv(name, value)
            server = Jack(tmp_path_factory.mktemp("jack") / "jackd.log")
            yield server
            server.stop()


@pytest.fixture
def chart_folder(tmp_path: Path) -> Path:
    """A folder with a chart."""
    from tests.cli.commands import CHART

    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    return tmp_path
