"""What becomes of the terminal? POSIX.1-2017, 11 "General Terminal Interface"."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.commands import CHART, take
from tests.live.jack import wait_until

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="has other terminals")


LISTEN = ("listen", "row.txt", "--plain", "--no-history", "--replay", "monday.mid")


class Terminal:
    """A terminal of a test's own, in which the command is given."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.near, self.far = os.openpty()

    def start(self, speed: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-m", "evaluator", *LISTEN, "--speed", speed],
            cwd=self.folder,
            stdin=self.far,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            start_new_session=True,
        )

    @property
    def shows_what_is_typed(self) -> bool:
        import termios

        wanted = termios.ICANON | termios.ECHO
        return termios.tcgetattr(self.far)[3] & wanted == wanted


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "monday.mid").write_bytes(take())
    return Terminal(tmp_path)


@pytest.mark.parametrize("number", ["SIGINT", "SIGTERM", "SIGQUIT", "SIGHUP"])
def test_the_terminal_is_as_it_was_after_a_take_that_was_ended(
    terminal: Terminal, number: str
) -> None:
    running = terminal.start("1")
    wait_until(lambda: not terminal.shows_what_is_typed, "keys do not come one by one")
    time.sleep(0.3)
    running.send_signal(getattr(signal, number))
    running.communicate(timeout=60)
    assert terminal.shows_what_is_typed


def test_after_a_kill_the_next_start_brings_it_back_and_says_so(terminal: Terminal) -> None:
    running = terminal.start("1")
    wait_until(lambda: not terminal.shows_what_is_typed, "keys do not come one by one")
    running.kill()
    running.communicate(timeout=60)
    assert not terminal.shows_what_is_typed
    out, _ = terminal.start("50").communicate(timeout=60)
    assert "The terminal was not showing what you type" in out
    assert terminal.shows_what_is_typed
    out, _ = terminal.start("50").communicate(timeout=60)
    assert "The terminal did not show" not in out
