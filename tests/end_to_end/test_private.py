"""Who may read what the program writes? Files with names and marks, and takes, are their
owner's alone; charts and guides are handed out. POSIX.1-2017, `open`."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import CHART, take

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="has other rights")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "takes").mkdir()
    for name in ("a.mid", "b.mid"):
        (tmp_path / "takes" / name).write_bytes(take())
    return tmp_path


def written(folder: Path, *words: str) -> dict[str, int]:
    """The rights of the files that a command writes where everybody may do everything."""
    before = set(folder.rglob("*"))
    done = subprocess.run(
        [sys.executable, "-m", "evaluator", *words],
        cwd=folder,
        env={**os.environ, "EVALUATOR_HISTORY": str(folder / "history")},
        preexec_fn=lambda: os.umask(0),
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    new = set(folder.rglob("*")) - before
    return {path.name: path.stat().st_mode & 0o777 for path in new if path.is_file()}


@pytest.mark.parametrize(
    "words",
    [
        ("grade", "row.txt", "takes", "--csv", "c.csv", "--json", "c.json", "--html", "pages"),
        ("grade", "row.txt", "takes/a.mid", "--csv", "c.csv", "--html", "pages"),
        ("listen", "row.txt", "--replay", "takes/a.mid", "--speed", "50"),
        ("history", "--csv", "h.csv", "--json", "h.json"),
    ],
    ids=" ".join,
)
def test_names_marks_and_takes_are_their_owners_alone(folder: Path, words: tuple[str, ...]) -> None:
    found = written(folder, *words)
    assert len(found) >= 2
    assert set(found.values()) == {0o600}, found


def test_what_is_handed_out_may_be_read(folder: Path) -> None:
    assert written(folder, "chart", "guide", "row.txt", "-o", "row.mid") == {"row.mid": 0o666}


def test_a_file_that_is_there_keeps_its_rights(folder: Path) -> None:
    (folder / "c.csv").touch(0o644)
    (folder / "c.csv").chmod(0o644)
    written(folder, "grade", "row.txt", "takes/a.mid", "--csv", "c.csv")
    assert (folder / "c.csv").stat().st_mode & 0o777 == 0o644
