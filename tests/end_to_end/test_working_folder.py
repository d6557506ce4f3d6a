"""Is a file run because it lies where somebody happens to be?

A folder of takes that were handed in may hold `json.py` or `multiprocessing.py`. Here it
holds a file of the name of every module of Python and of those that the program uses, each
of which leaves a trace if it is run. Behaviour of Python: "sys.path[0]" and -P in
https://docs.python.org/3/using/cmdline.html.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import CHART, take

OTHERS = ("numpy", "mido", "rich", "jinja2", "rtmidi", "platformdirs", "evaluator", "tests")
TRAP = "open('run-' + __name__, 'w').close()\nraise ImportError(__name__)\n"

COMMAND = Path(sys.executable).with_name("evaluator")
CALLS = (
    ("grade", "row.txt", "a.mid", "b.mid", "--jobs", "2", "--html", "pages", "--json", "all.json"),
    ("grade", "row.txt", "a.mid", "--plain"),
    ("listen", "row.txt", "--replay", "a.mid", "--speed", "50", "--plain"),
    ("demo",),
    ("history",),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two takes, a chart, and the traps."""
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    for name in ("a.mid", "b.mid"):
        (tmp_path / name).write_bytes(take())
    for name in (*sys.stdlib_module_names, *OTHERS):
        (tmp_path / f"{name}.py").write_text(TRAP, encoding="utf-8")
    return tmp_path


def ran(folder: Path) -> list[str]:
    return [path.name for path in folder.glob("run-*")]


@pytest.mark.parametrize("words", CALLS, ids=" ".join)
def test_nothing_that_lies_in_the_working_folder_is_run(
    folder: Path, words: tuple[str, ...]
) -> None:
    done = subprocess.run(
        [COMMAND, *words], cwd=folder, capture_output=True, encoding="utf-8", timeout=60
    )
    assert ran(folder) == []
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("words", CALLS[:3], ids=" ".join)
def test_nor_if_the_program_is_called_as_a_module(folder: Path, words: tuple[str, ...]) -> None:
    """But for what Python needs for `-m`, which it looks for before the program has a say."""
    needs = "import sys, runpy, pkgutil, importlib.util, warnings; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", needs], capture_output=True, encoding="ascii")
    for name in {"evaluator", *loaded.stdout.split()}:
        (folder / f"{name}.py").unlink(missing_ok=True)
    done = subprocess.run(
        [sys.executable, "-m", "evaluator", *words],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
    )
    assert ran(folder) == []
    assert (done.returncode, done.stderr) == (0, "")


def test_a_trap_leaves_a_trace(folder: Path) -> None:
    bare = {name: value for name, value in os.environ.items() if name != "PYTHONSAFEPATH"}
    subprocess.run([sys.executable, "-c", "import json"], cwd=folder, env=bare, capture_output=True)
    assert ran(folder) == ["run-json"]
