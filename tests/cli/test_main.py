"""The command line itself: help, wrong words, being stopped."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from evaluator.cli import main as command_line
from evaluator.cli.main import COMMANDS, main
from tests.cli.commands import evaluator


def test_help_names_every_command_and_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(name in shown for name in COMMANDS)
    assert "example: evaluator grade" in shown


@pytest.mark.parametrize("words", [*([name] for name in COMMANDS), ["chart", "check"]])
def test_every_command_has_help_with_an_example(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*words, "--help"]) == 0
    assert f"evaluator {' '.join(words)}" in capsys.readouterr().out.partition("example")[2]


def test_help_waits_for_nothing_heavy(tmp_path: Path) -> None:
    code = (
        "import sys; from evaluator.cli.main import main; main(['--help']); "
        "print([name for name in ('dataclasses', 'numpy', 'typing') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.endswith("[]\n")


@pytest.mark.parametrize("words", [["chart", "show", "row.txt"], ["history"], ["grade", "--help"]])
def test_what_hears_no_take_waits_for_no_arrays(folder: Path, words: list[str]) -> None:
    code = (
        f"import sys; from evaluator.cli.main import main; main({words}); "
        "print([name for name in ('numpy', 'rich.console') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env={"PATH": "", "EVALUATOR_HISTORY": str(folder)},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert done.stdout.endswith("[]\n")


def test_grading_never_loads_mido_nor_rich_without_a_terminal(folder: Path) -> None:
    code = (
        "import sys; from evaluator.cli.main import main; "
        "main(['grade', 'row.txt', 'monday.mid']); "
        "print([name for name in ('rich.console', 'mido', 'music21') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        cwd=folder,
    )
    assert done.stdout.endswith("[]\n")


def test_the_version_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("evaluator ")


def test_a_command_that_is_not_there_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["chrat", "check"]) == 2
    assert capsys.readouterr().err == (
        "evaluator: There is no command `chrat`. Did you mean `chart`?\n"
    )
    assert main(["xyzzy"]) == 2
    assert f"There are: {', '.join(COMMANDS)}." in capsys.readouterr().err


def test_being_stopped_is_said_without_a_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line, "_run", stopped)
    assert main(["demo"]) == 130
    assert capsys.readouterr().err == "evaluator: stopped\n"


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_control_c_while_waiting_for_a_take(folder: Path) -> None:
    import os

    os.mkfifo(folder / "pipe.mid")
    words = [sys.executable, "-m", "evaluator", "grade", "row.txt", "pipe.mid"]
    running = subprocess.Popen(words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    # A pipe with a writer that writes nothing: opening it waits for the command, which
    # then waits in reading it.
    with running, open(folder / "pipe.mid", "wb"):
        time.sleep(0.3)
        running.send_signal(signal.SIGINT)
        _, said = running.communicate(timeout=60)
    assert running.returncode == 130
    assert said == b"evaluator: stopped\n"


def test_an_output_that_was_closed_is_no_mistake(folder: Path) -> None:
    command = f"{sys.executable} -m evaluator grade row.txt monday.mid >&-"
    done = subprocess.run(
        ["sh", "-c", command], cwd=folder, capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_it_is_also_a_module(folder: Path) -> None:
    assert evaluator(folder, "--help").stdout.startswith("usage: evaluator COMMAND")


@pytest.mark.parametrize(("named", "threads"), [(None, "1"), ("4", "4")])
def test_numpy_starts_no_threads_unless_somebody_wants_them(
    monkeypatch: pytest.MonkeyPatch, named: str | None, threads: str
) -> None:
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    if named is not None:
        monkeypatch.setenv("OPENBLAS_NUM_THREADS", named)
    assert main(["--help"]) == 0
    assert os.environ["OPENBLAS_NUM_THREADS"] == threads
