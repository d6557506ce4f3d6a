"""Runs the commands that the help and the pages give, in what a fresh checkout holds."""

import os
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NEEDS_A_PIANO = ("evaluator listen",)
"""Unless they replay a take."""


def fresh_checkout(folder: Path) -> Path:
    """A folder with the charts and recordings of the repository."""
    for name in ("charts", "recordings"):
        shutil.copytree(ROOT / name, folder / name)
    return folder


def needs_a_piano(line: str) -> bool:
    return line.startswith(NEEDS_A_PIANO) and "--replay" not in line


def run_line(line: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a line as a shell does, but for the speed of a replay, for which nobody waits.

    A listing of pianos may end in saying that the library for it is not there.
    """
    shell = shutil.which("bash")
    assert shell is not None
    program = f'evaluator() {{ "{sys.executable}" -m evaluator "$@"; }}\n'
    done = subprocess.run(
        [shell, "-c", program + line.replace("--speed 4", "--speed 100")],
        cwd=folder,
        env=os.environ
        | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "LC_ALL": "C.UTF-8"}
        | {"EVALUATOR_HISTORY": str(folder / "history"), "COLUMNS": "80"},
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    assert "Traceback" not in done.stderr
    if line.startswith("evaluator ports") and find_spec("rtmidi") is None:
        assert "pip install python-rtmidi" in done.stderr
    else:
        assert done.returncode == 0, done.stderr
    return done
