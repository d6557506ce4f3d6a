"""Where a run over a class puts down what it has done. Own rules, no source."""

import json
from pathlib import Path

import pytest

from evaluator.cli.grade_words import Wanted
from evaluator.cli.unfinished import place_for
from tests.cli.commands import evaluator, refused, take
from tests.playing import WrongBass


@pytest.mark.parametrize(
    ("wanted", "place"),
    [
        (Wanted(), None),
        (Wanted(csv="-"), None),
        (Wanted(csv="/dev/null"), None),
        (Wanted(csv="-", json="a.json"), "a.json.unfinished"),
        (Wanted(csv="a.csv", json="a.json"), "a.csv.unfinished"),
        (Wanted(csv="a.csv", html="pages"), "pages/index.html.unfinished"),
    ],
)
def test_it_lies_beside_what_is_asked_for(wanted: Wanted, place: str | None) -> None:
    assert place_for(wanted) == place


WORDS = ("grade", "row.txt", "monday.mid", "friday.mid", "--json", "class.json")


@pytest.fixture
def two(folder: Path) -> Path:
    (folder / "friday.mid").write_bytes(take(WrongBass(2, "A")))
    return folder


def test_it_is_gone_when_everything_is_written(two: Path) -> None:
    assert evaluator(two, *WORDS).returncode == 0
    assert not (two / "class.json.unfinished").exists()


def test_somebody_elses_file_is_left_alone(two: Path) -> None:
    (two / "class.json.unfinished").write_text("my notes\n")
    assert "is in the way: the program keeps its progress" in refused(evaluator(two, *WORDS), 1)
    assert (two / "class.json.unfinished").read_text() == "my notes\n"


def test_two_runs_do_not_write_the_same_file(two: Path) -> None:
    fcntl = pytest.importorskip("fcntl")
    with (two / "class.json.unfinished").open("ab") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        said = refused(evaluator(two, *WORDS), 1)
    assert "is in use: another run is writing the same file" in said


def test_a_folder_that_is_not_there_is_told_before_anything_is_graded(two: Path) -> None:
    done = evaluator(two, *WORDS[:-1], "gone/class.json")
    assert "gone/class.json could not be written: its folder does not exist." in refused(done, 1)


def test_what_cannot_be_written_at_the_end_is_not_graded_again(two: Path) -> None:
    (two / "class.json").mkdir()  # where the file should be
    assert evaluator(two, *WORDS, "--csv", "class.csv").returncode == 1
    assert (two / "class.csv.unfinished").exists()
    (two / "class.json").rmdir()
    done = evaluator(two, *WORDS, "--csv", "class.csv")
    assert done.returncode == 0
    assert "Resuming an interrupted run." in done.stderr
    assert len(json.loads((two / "class.json").read_text())) == 2
