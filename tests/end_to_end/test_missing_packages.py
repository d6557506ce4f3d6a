"""What is said where a package that only one command needs is not installed? One status."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import CHART, take

WITHOUT = """
import sys
from importlib.machinery import PathFinder
whole = PathFinder.find_spec
def find_spec(name, *given):
    return None if name.partition(".")[0] == {package!r} else whole(name, *given)
PathFinder.find_spec = find_spec
from evaluator.cli.main import main
sys.exit(main())
"""
CALLS = {
    "jinja2": ("grade", "row.txt", "a.mid", "--html", "pages"),
    "music21": ("chart", "export", "row.txt", "-o", "row.musicxml"),
    "shtab": ("completion", "bash"),
    "distributed": ("grade", "row.txt", ".", "--cluster", "localhost:1"),
    "rtmidi": ("ports",),
}


@pytest.mark.parametrize("package", CALLS)
def test_a_package_that_is_missing_is_told_with_one_status(tmp_path: Path, package: str) -> None:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "a.mid").write_bytes(take())
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT.format(package=package), *CALLS[package]],
        cwd=tmp_path,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "is not installed" in done.stderr
    assert "pip install" in done.stderr
    assert len(done.stderr.splitlines()) == 1
