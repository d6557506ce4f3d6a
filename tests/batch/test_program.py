"""Two copies of the program are told apart by their text. Own rule, no source."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import evaluator
from evaluator.batch.program import fingerprint

PACKAGE = Path(evaluator.__file__).parent


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the whole program, in a folder of its own."""
    binary = shutil.ignore_patterns("__pycache__", "*.so")
    return Path(shutil.copytree(PACKAGE, tmp_path / "evaluator", ignore=binary))


def printed(copy: Path) -> str:
    """What a process that runs the copy says of itself."""
    words = "from evaluator.batch.program import fingerprint; print(fingerprint())"
    # An earlier command may have made the folder that it runs in no place to import from.
    ran = subprocess.run(
        [sys.executable, "-c", words],
        cwd=copy.parent,
        env={**os.environ, "PYTHONPATH": str(copy.parent)},
        capture_output=True,
        text=True,
        check=True,
    )
    return ran.stdout.strip()


def test_a_copy_is_the_same_program_whatever_its_line_ends(copy: Path) -> None:
    assert printed(copy) == fingerprint()
    grading = copy / "grading.py"
    grading.write_bytes(grading.read_bytes().replace(b"\n", b"\r\n"))
    assert printed(copy) == fingerprint()


@pytest.mark.parametrize(
    "name", ["grading.py", "judge/chord.py", "judge/rubrics/steady.toml", "errors/__init__.py"]
)
def test_a_changed_text_is_another_program_wherever_it_lies(copy: Path, name: str) -> None:
    with (copy / name).open("a", encoding="utf-8") as text:
        text.write("# changed\n")
    assert printed(copy) != fingerprint()


def test_a_new_and_a_moved_module_are_another_program(copy: Path) -> None:
    new = copy / "judge" / "new.py"
    new.write_bytes(b"")
    found = {fingerprint(), printed(copy)}
    new.rename(copy / "new.py")
    assert len(found | {printed(copy)}) == 3
