"""`evaluator history`, and what grading leaves for it."""

import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import CHART, UNCOMPILED, evaluator, refused, take
from tests.playing import WrongBass, WrongChord

DAY = 86_400


@pytest.fixture
def week(folder: Path) -> Path:
    """Three takes of Anna's on three days: the second bar is learnt, the sixth is not."""
    sixth = WrongBass(6, "A")
    faults = ((WrongBass(2, "A"), sixth), (sixth,), (sixth, WrongChord(12, "G")))
    for day, wrong in enumerate(faults):
        file = folder / f"Anna - {day}.mid"
        file.write_bytes(take(*wrong))
        os.utime(file, (1_770_000_000 + day * DAY,) * 2)
    done = evaluator(folder, "grade", "row.txt", *(f"Anna - {day}.mid" for day in range(3)))
    assert done.returncode == 0, done.stderr
    return folder


@pytest.mark.parametrize("columns", ["40", "60", "80", "140"])
def test_progress_is_drawn_by_day_within_the_width(week: Path, columns: str) -> None:
    done = evaluator(week, "history", COLUMNS=columns)
    assert "Copper Kettle Row, Anna: three takes" in done.stdout
    assert done.stdout.count(" |#") == 3
    told = " ".join(done.stdout.split())
    assert "Still wrong: bar 6 (3 of 3 takes; bass)." in told
    assert "Mastered: bar 2." in told
    assert max(map(len, done.stdout.splitlines())) <= int(columns)


def test_one_chart_and_one_student_can_be_chosen(week: Path) -> None:
    assert "three takes" in evaluator(week, "history", "row.txt", "--student", "Anna").stdout
    assert "No takes are kept" in evaluator(week, "history", "--student", "Bo").stdout


def test_takes_of_an_edited_chart_are_told_apart(week: Path) -> None:
    (week / "row.txt").write_text(CHART.replace("tempo: 96", "tempo: 90"), encoding="utf-8")
    done = evaluator(week, "history", "row.txt")
    assert "No takes are kept" in done.stdout
    assert "other editions of this chart there are three takes more" in done.stdout


def test_json_and_csv_hold_the_same(week: Path) -> None:
    document = json.loads(evaluator(week, "history", "--json", "-").stdout)
    assert document["schema"] == "evaluator.history/1"
    (one,) = document["progress"]
    assert (one["student"], one["takes"], one["mastered"]) == ("Anna", 3, [2])
    rows = evaluator(week, "history", "--csv", "-").stdout.splitlines()
    assert len(rows) == 4
    assert rows[0].startswith("played,student,title")


def test_forgetting_needs_to_be_told_what(week: Path) -> None:
    assert "Say what to forget" in refused(evaluator(week, "history", "--forget"), 2)
    assert (
        evaluator(week, "history", "--student", "Bo", "--forget").stdout == "No takes forgotten.\n"
    )
    done = evaluator(week, "history", "--student", "Anna", "--forget")
    assert done.stdout == "Three takes forgotten.\n"
    assert "No takes are kept" in evaluator(week, "history").stdout


def test_forgetting_says_what_it_did_with_a_damaged_history(week: Path) -> None:
    history = Path(f"{week}-history") / "history.db"
    history.write_bytes(b"Anna was here " * 300)
    done = evaluator(week, "history", "--forget", "--all")
    assert done.stdout.splitlines()[0] == "No takes forgotten."
    assert "Deleted, too: one file of a history that was damaged" in done.stdout
    assert not any(b"Anna" in path.read_bytes() for path in history.parent.iterdir())


def test_a_take_of_a_day_that_no_calendar_has_does_not_block_the_rest(week: Path) -> None:
    import sqlite3

    with sqlite3.connect(Path(f"{week}-history") / "history.db") as connection:
        connection.execute("UPDATE grade SET played_at = 1e13 WHERE id = 2")
    connection.close()
    done = evaluator(week, "history")
    assert done.returncode == 0
    assert "Copper Kettle Row, Anna: two takes" in done.stdout
    assert "One take could not be read and had to be skipped." in done.stderr
    os.utime(week / "Anna - 1.mid", (1e11, 1e11))
    words = ("grade", "row.txt", "Anna - 1.mid", "--student", "Bo")
    assert evaluator(week, *words).returncode == 0
    assert "Copper Kettle Row, Bo: one take" in evaluator(week, "history").stdout


def test_grading_again_keeps_nothing_twice_and_no_history_keeps_nothing(folder: Path) -> None:
    evaluator(folder, "grade", "row.txt", "monday.mid", "--no-history")
    assert "No takes are kept" in evaluator(folder, "history").stdout
    for _ in range(2):
        evaluator(folder, "grade", "row.txt", "monday.mid", "--student", "Bo")
    assert "Copper Kettle Row, Bo: one take on one day" in evaluator(folder, "history").stdout


def test_a_demo_is_not_kept(folder: Path) -> None:
    assert evaluator(folder, "demo").returncode == 0
    assert "No takes are kept" in evaluator(folder, "history").stdout


def test_grading_goes_on_where_nothing_can_be_kept(folder: Path) -> None:
    Path(f"{folder}-history").write_text("a file in the way")
    done = evaluator(folder, "grade", "row.txt", "monday.mid")
    assert done.returncode == 0
    assert "Mark" in done.stdout
    assert "Nothing was kept in the history." in done.stderr


def test_grading_goes_on_when_the_disk_is_full(folder: Path) -> None:
    """A limit on the size of files stands for the full disk."""
    words = [sys.executable, "-m", "evaluator", "grade", "row.txt", "monday.mid"]
    done = subprocess.run(
        words,
        cwd=folder,
        env={**os.environ, **UNCOMPILED, "EVALUATOR_HISTORY": f"{folder}-history"},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (6_000, 6_000)),
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "Mark" in done.stdout
    assert "Nothing was kept in the history." in done.stderr
    assert "disk is full" in done.stderr
