"""What becomes of files and takes when the disk takes no more, or nothing at all?

Nothing that was there is harmed, nothing half is left, a sentence says why, and of a take
that is being played nothing is lost that was written before. Tried with a limit on the size
of files, and on file systems in memory, full or read-only, where one may be mounted;
`/dev/full` stands for an output into a file on such a disk.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART, take
from tests.end_to_end.disks import FULL, Disk, limited, may_mount, mounted, read_only
from tests.playing import WrongBass

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="has neither of these means")

MOUNTS = may_mount()
KINDS = {"limit": limited} | ({"mounted": mounted} if MOUNTS else {})
CLOSED = KINDS | ({"read-only": read_only} if MOUNTS else {})


@pytest.fixture(params=CLOSED.values(), ids=CLOSED.keys())
def full(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Disk]:
    """A disk without room for anything, with an old file on it, and a lesson beside it."""
    _lesson(tmp_path)
    with request.param(tmp_path, 0) as disk:
        yield disk


def _lesson(desk: Path) -> None:
    (desk / "takes").mkdir()
    (desk / "row.txt").write_text(CHART, encoding="utf-8")
    (desk / "takes" / "monday.mid").write_bytes(take(WrongBass(2, "A")))
    (desk / "takes" / "friday.mid").write_bytes(take())


ONE = ("grade", "row.txt", "takes/monday.mid", "--no-history")
CLASS = ("grade", "row.txt", "takes", "--no-history")
WRITERS = {
    "a report as JSON": (*ONE, "--json", "disk/out"),
    "a gradebook of one": (*ONE, "--csv", "disk/out"),
    "a page": (*ONE, "--html", "disk"),
    "the reports of a class": (*CLASS, "--json", "disk/out"),
    "the gradebook of a class": (*CLASS, "--csv", "disk/out"),
    "the pages of a class": (*CLASS, "--html", "disk"),
    "a guide": ("chart", "guide", "row.txt", "-o", "disk/out"),
    "a score": ("chart", "export", "row.txt", "-o", "disk/out"),
    "a chart for the music stand": ("chart", "show", "row.txt", "--html", "disk/out"),
    "the history as a table": ("history", "--csv", "disk/out"),
    "the history as JSON": ("history", "--json", "disk/out"),
}


WRITTEN_IN_A_WAY = ("a report as JSON", "the pages of a class", "a score")
"""One writer of each way: a file, a folder, and a file that another library makes."""
TRIED = [
    pytest.param(kind, words, id=f"{name}-{writer}")
    for name, kind in CLOSED.items()
    for writer, words in WRITERS.items()
    if name == "limit" or writer in WRITTEN_IN_A_WAY
]


@pytest.mark.parametrize(("full", "words"), TRIED, indirect=["full"])
def test_nothing_half_is_left_and_the_reason_is_told(full: Disk, words: tuple[str, ...]) -> None:
    # After a class has failed, its process prints nothing more.
    run = full.program if words[: len(CLASS)] == CLASS else full.evaluator
    done = run(*words)
    assert done.returncode == 1
    assert any(reason in done.stderr for reason in FULL), done.stderr
    assert "Traceback" not in done.stderr
    left = [name for name in full.names if not name.endswith(".unfinished")]
    assert left == []


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_what_was_there_before_stays(kind: type[Disk], tmp_path: Path) -> None:
    _lesson(tmp_path)
    with kind(tmp_path, 8192) as disk:
        (disk.folder / "out").write_text("old")
        done = disk.program(*ONE, "--json", "disk/out")
        assert done.returncode == 1
        assert any(reason in done.stderr for reason in FULL), done.stderr
        assert disk.names == ["out"]
        assert (disk.folder / "out").read_text() == "old"


def test_a_take_is_graded_although_the_history_cannot_be_kept(full: Disk) -> None:
    done = full.evaluator(*ONE[:-1], EVALUATOR_HISTORY=str(full.folder))
    assert done.returncode == 0
    assert "Copper Kettle Row" in done.stdout
    assert "Nothing was kept in the history." in done.stderr
    assert "Traceback" not in done.stderr


REPLAY = ("listen", "row.txt", "--replay", "takes/monday.mid", "--speed", "25", "--plain")


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_a_take_is_kept_as_far_as_the_disk_took_it(kind: type[Disk], tmp_path: Path) -> None:
    _lesson(tmp_path)
    with kind(tmp_path, 4096) as disk:
        done = disk.evaluator(*REPLAY, "--save", "disk", "--no-history")
        told = [f"Nothing more can be recorded: {reason}." for reason in FULL]
        assert any(sentence in done.stderr for sentence in told), done.stderr
        assert "Traceback" not in done.stderr
        (kept,) = (name for name in disk.names if not name.endswith(".log"))
        graded = disk.evaluator("grade", "row.txt", f"disk/{kept}", "--no-history", "--json", "-")
        assert graded.returncode == 0, graded.stderr
        assert '"complete":false' in graded.stdout.replace(" ", "")


def test_a_take_does_not_begin_where_nothing_can_be_written(full: Disk) -> None:
    done = full.evaluator(*REPLAY, "--save", "disk", "--no-history")
    assert done.returncode == 1
    assert "Takes cannot be saved in disk: " in done.stderr
    assert any(reason in done.stderr for reason in FULL), done.stderr
    assert "Traceback" not in done.stderr


PRINTERS = {
    "a report": ONE,
    "a class": CLASS,
    "JSON": (*ONE, "--json", "-"),
    "a gradebook": (*CLASS, "--csv", "-"),
    "a chart": ("chart", "show", "row.txt"),
    "a check": ("chart", "check", "row.txt"),
    "help": ("grade", "--help"),
    "the history": ("history",),
    "the demonstration": ("demo",),
}


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no such device")
@pytest.mark.parametrize("words", PRINTERS.values(), ids=PRINTERS.keys())
def test_an_output_that_goes_nowhere_is_told(tmp_path: Path, words: tuple[str, ...]) -> None:
    _lesson(tmp_path)
    done = into_full(tmp_path, *words)
    assert done.returncode == 1
    assert "the output could not be written: the disk is full" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no such device")
def test_a_take_is_recorded_to_its_end_although_nothing_can_be_shown(tmp_path: Path) -> None:
    _lesson(tmp_path)
    done = into_full(tmp_path, *REPLAY, "--no-history")
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    (kept,) = (tmp_path / "recordings").iterdir()
    assert len(read_take(kept.read_bytes())) == len(read_take(take(WrongBass(2, "A"))))


def into_full(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    with open("/dev/full", "wb") as full:
        return subprocess.run(
            [sys.executable, "-m", "evaluator", *words],
            cwd=folder,
            stdout=full,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
