"""What becomes of the files if nobody reads the screen?

`| head -1` closes the pipe after a line, a redirected output may lie on a full disk, a
service may have no standard output at all. Files come first, then the screen; the exit
status of a closed pipe is 0, since whoever reads has seen enough.
"""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from evaluator.history.reading import entries
from tests.cli.commands import CHART, evaluator, take
from tests.playing import WrongBass

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="pipes close otherwise there")

FILES = ("--csv", "c.csv", "--json", "c.json", "--html", "pages")
ONE = ("grade", "row.txt", "takes/monday.mid")
CLASS = ("grade", "row.txt", "takes")
REPORTS = (*CLASS, *FILES, "--reports")
CALLS = {
    "one": (*ONE, *FILES),
    "a class with its reports on two cores": (*REPORTS, "--jobs", "2"),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "takes").mkdir()
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "takes" / "monday.mid").write_bytes(take(WrongBass(2, "A")))
    (tmp_path / "takes" / "friday.mid").write_bytes(take())
    (tmp_path / "takes" / "broken.mid").write_bytes(b"MThd")
    return tmp_path


def run(folder: Path, *words: str, **outputs: Any) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "evaluator", *words],
        cwd=folder,
        env={**os.environ, "EVALUATOR_HISTORY": str(folder / "history")},
        timeout=60,
        check=False,
        **outputs,
    )


def run_unread(folder: Path, *words: str, both: bool = False) -> int:
    """The exit status with a standard output, or that and the error stream, nobody reads."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        told = writing if both else subprocess.DEVNULL
        return run(folder, *words, stdout=writing, stderr=told).returncode
    finally:
        os.close(writing)


def check_written(folder: Path) -> None:
    takes = json.loads((folder / "c.json").read_text())
    count = len(takes) if isinstance(takes, list) else 1
    assert count in (1, 3)
    assert len((folder / "c.csv").read_text().splitlines()) > count
    assert (folder / "pages" / "monday.html").exists()
    assert not list(folder.rglob("*.unfinished"))
    assert entries(folder / "history" / "history.db")


@pytest.mark.parametrize("words", CALLS.values(), ids=CALLS.keys())
def test_a_closed_pipe_costs_no_file(folder: Path, words: tuple[str, ...]) -> None:
    assert run_unread(folder, *words) == 0
    check_written(folder)


def test_nor_if_what_goes_wrong_is_not_read_either(folder: Path) -> None:
    assert run_unread(folder, *REPORTS, both=True) == 0
    check_written(folder)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no such device")
@pytest.mark.parametrize("words", CALLS.values(), ids=CALLS.keys())
def test_nor_does_a_full_standard_output(folder: Path, words: tuple[str, ...]) -> None:
    with open("/dev/full", "wb") as full:
        done = run(folder, *words, stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 1
    assert b"the output could not be written: the disk is full" in done.stderr
    check_written(folder)


@pytest.mark.parametrize("words", CALLS.values(), ids=CALLS.keys())
def test_nor_a_closed_one(folder: Path, words: tuple[str, ...]) -> None:
    shell = f"{sys.executable} -m evaluator {' '.join(words)} >&-"
    done = subprocess.run(
        shell,
        shell=True,
        cwd=folder,
        env={**os.environ, "EVALUATOR_HISTORY": str(folder / "history")},
        timeout=60,
        capture_output=True,
        check=False,
    )
    assert b"Traceback" not in done.stderr
    check_written(folder)


def test_a_document_for_a_closed_standard_output_is_refused(folder: Path) -> None:
    shell = f"{sys.executable} -m evaluator {' '.join(ONE)} --no-history --json - >&-"
    done = subprocess.run(shell, shell=True, cwd=folder, capture_output=True, check=False)
    assert done.returncode == 1
    assert b"The standard output is closed; give a file instead of `-`." in done.stderr


@pytest.mark.parametrize("which", ["--json", "--csv"])
def test_of_two_documents_the_file_comes_first(folder: Path, which: str) -> None:
    other = {"--json": "--csv", "--csv": "--json"}[which]
    assert run_unread(folder, *CLASS, which, "-", other, "file") == 0
    assert (folder / "file").stat().st_size > 100


@pytest.mark.parametrize("which", ["--json", "--csv"])
def test_the_same_of_the_history(folder: Path, which: str) -> None:
    history = {"EVALUATOR_HISTORY": str(folder / "history")}
    assert evaluator(folder, *ONE, **history).returncode == 0
    other = {"--json": "--csv", "--csv": "--json"}[which]
    assert run_unread(folder, "history", which, "-", other, "file") == 0
    assert (folder / "file").stat().st_size > 100


def test_a_pipe_in_place_of_a_file_that_is_closed_costs_no_other_file(folder: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    words = (*CLASS, "--json", f"/dev/fd/{writing}", "--csv", "c.csv")
    done = run(folder, *words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, pass_fds=[writing])
    os.close(writing)
    assert b"Traceback" not in done.stderr
    assert (folder / "c.csv").stat().st_size > 100


@pytest.mark.parametrize("words", [ONE, CLASS])
def test_a_file_that_cannot_be_written_costs_no_other_and_not_the_screen(
    folder: Path, words: tuple[str, ...]
) -> None:
    words = (*words, "--json", "gone/c.json", "--csv", "c.csv")
    done = run(folder, *words, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert done.returncode == 1
    assert b"gone/c.json could not be written: its folder does not exist." in done.stderr
    assert b"Kettle Row" in done.stdout
    assert (folder / "c.csv").stat().st_size > 100


def test_a_reader_who_has_seen_enough(folder: Path) -> None:
    shell = f"{sys.executable} -m evaluator {' '.join(REPORTS)} | head -1"
    done = subprocess.run(
        shell,
        shell=True,
        cwd=folder,
        env={**os.environ, "EVALUATOR_HISTORY": str(folder / "history")},
        capture_output=True,
        check=False,
    )
    assert b"Traceback" not in done.stderr
    assert b"BrokenPipe" not in done.stderr
    check_written(folder)
