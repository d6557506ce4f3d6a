"""Runs the commands that the help and the pages give, in what a fresh checkout holds."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from tests.cli.commands import evaluator

ROOT = Path(__file__).resolve().parents[2]
SHELLS_OWN = re.compile(r"[^\w\s./=,:\"'-]")
"""What a shell does more with than to part words."""
NEEDS_A_PIANO = ("evaluator listen", "evaluator practise")
"""Unless they replay a take."""


FEW = ("Anna Appleby", "Leo Marsh")
"""A class of two, who handed in two takes each."""


def fresh_checkout(folder: Path, *, few: bool = False) -> Path:
    """A folder with the charts and recordings of the repository; of the class `FEW` if `few`."""
    for name in ("charts", "recordings"):
        shutil.copytree(ROOT / name, folder / name)
    if few:
        send_home(folder)
    return folder


def send_home(folder: Path) -> None:
    """Take all of the class but `FEW` out of a checkout."""
    for take in (folder / "recordings" / "class").iterdir():
        if not take.name.startswith(FEW):
            take.unlink()


def needs_a_piano(line: str) -> bool:
    return line.startswith(NEEDS_A_PIANO) and "--replay" not in line


def run_line(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a line as a shell does, but for the speed of a replay, for which nobody waits.

    A line of plain words is taken apart here and run in this process; a shell is there for the
    rest. A listing of pianos may end in saying that the library for it is not there.
    """
    line = line.replace("--speed 4", "--speed 100")
    if SHELLS_OWN.search(line):
        done = _in_a_shell(line, folder)
    else:
        beside = {"EVALUATOR_HISTORY": str(folder / "history"), "COLUMNS": "80"}
        done = evaluator(folder, *shlex.split(line)[1:], **beside)
    assert "Traceback" not in done.stderr
    if line.startswith("evaluator ports") and find_spec("rtmidi") is None:
        assert "pip install python-rtmidi" in done.stderr
    else:
        assert done.returncode == 0, done.stderr
    return done


def _in_a_shell(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    shell = shutil.which("bash")
    assert shell is not None
    program = f'evaluator() {{ "{sys.executable}" -m evaluator "$@"; }}\n'
    return subprocess.run(
        [shell, "-c", program + line],
        cwd=folder,
        env=os.environ
        | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "LC_ALL": "C.UTF-8"}
        | {"EVALUATOR_HISTORY": str(folder / "history"), "COLUMNS": "80"},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
