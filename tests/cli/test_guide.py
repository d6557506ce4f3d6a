"""`evaluator chart guide`, and grading what it wrote."""

from pathlib import Path

import pytest

from tests.cli.commands import evaluator, refused


def test_a_guide_is_written_and_graded_as_right(folder: Path) -> None:
    done = evaluator(folder, "chart", "guide", "row.txt", "-o", "row.mid")
    assert done.stdout == "Copper Kettle Row: 16 bars, in row.mid.\n"
    graded = evaluator(folder, "grade", "row.txt", "row.mid")
    assert "Well played: all 16 bars right" in graded.stdout


def test_a_passage_several_times_is_graded_pass_by_pass(folder: Path) -> None:
    words = ("--bars", "5-8", "--tempo", "72", "--times", "3", "--click", "-o", "loop.mid")
    assert "four bars, three times" in evaluator(folder, "chart", "guide", "row.txt", *words).stdout
    done = evaluator(folder, "grade", "row.txt", "loop.mid", "--bars", "5-8")
    assert "Three times through" in done.stdout
    assert done.stdout.count("a minute; nothing wrong") == 3


def test_a_section_for_one_hand(folder: Path) -> None:
    words = ("--section", "chorus", "--hands", "left", "-o", "left.mid")
    evaluator(folder, "chart", "guide", "row.txt", *words)
    words = ("--section", "Chorus", "--hand", "left")
    done = evaluator(folder, "grade", "row.txt", "left.mid", *words)
    assert "Only the left hand is judged." in done.stdout
    assert "Well played" in done.stdout


def test_the_command_of_a_loop_can_be_carried_out(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", COLUMNS="140")
    command = next(row.strip() for row in done.stdout.splitlines() if "chart guide" in row)
    assert evaluator(folder, *command.split()[1:]).returncode == 0
    assert (folder / "guide.mid").read_bytes().startswith(b"MThd")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--bars", "20-30"), "the chart has bars 1 to 16"),
        (("--section", "Bridge"), "no section `Bridge`"),
        (("--bars", "1", "--section", "Verse"), "either bars or a section"),
        (("--tempo", "900"), "is not a tempo"),
        (("--times", "0"), "is not a number of times"),
    ],
)
def test_wrong_words_are_told(folder: Path, words: tuple[str, ...], told: str) -> None:
    done = evaluator(folder, "chart", "guide", "row.txt", *words, "-o", "x.mid")
    assert told in refused(done, 2)
    assert not (folder / "x.mid").exists()


def test_a_guide_is_not_written_over_the_chart(folder: Path) -> None:
    assert "row.txt" in refused(evaluator(folder, "chart", "guide", "row.txt", "-o", "row.txt"), 2)
