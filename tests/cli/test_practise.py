"""The command as a person gives it, where there is no piano: what is practised and why, a replay,
and what is kept. Rules of this program, no outside source."""

import json
from pathlib import Path

import pytest

from evaluator.grading import prepare
from evaluator.history.reading import read
from tests.cli.commands import CHART, evaluator, refused, take
from tests.playing import WrongBass, play, to_midi


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    graph = prepare(CHART).graph
    (tmp_path / "round.mid").write_bytes(to_midi(play(graph, [4, 5] * 7, tempo=0.8)))
    (tmp_path / "monday.mid").write_bytes(take(WrongBass(2, "A"), WrongBass(6, "A")))
    return tmp_path


def kept(folder: Path) -> list[tuple[int, int, int]]:
    """Tempo, times and good times of each round in the history."""
    file = Path(f"{folder}-history") / "history.db"
    return [(one.bpm, one.times, one.good) for one in read(file).practised]


def test_a_replay_is_judged_time_by_time_and_kept(folder: Path) -> None:
    done = evaluator(folder, "practise", "row.txt", "--bars", "5-6", "--replay", "round.mid")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "Bars 5 and 6 (Verse).",
        "It begins at 66; the chart has 96.",
        "Listening to round.mid.",
        *(f"{number} time: all right." for number in ("First", "Second", "Third")),
        "Three good times in a row: now at 72.",
        *(f"{number} time: all right." for number in ("Fourth", "Fifth", "Sixth")),
        "Three good times in a row: now at 80.",
        "Seventh time: all right.",
        "Bars 5 and 6: 7 times through, 7 of them good; 72 of 96 reached.",
    ]
    assert kept(folder) == [(66, 3, 3), (72, 3, 3), (80, 1, 1)]


def test_the_same_replay_is_not_kept_twice(folder: Path) -> None:
    words = ("practise", "row.txt", "--bars", "5-6", "--replay", "round.mid")
    evaluator(folder, *words)
    evaluator(folder, *words, "--no-history")
    assert len(kept(folder)) == 3


def test_where_it_was_left_it_goes_on_a_step_below(folder: Path) -> None:
    words = ("practise", "row.txt", "--bars", "5-6", "--replay", "round.mid")
    evaluator(folder, *words)
    assert "It begins at 66; the chart has 96." in evaluator(folder, *words).stdout
    asked = evaluator(folder, "practise", "row.txt", "--plain", "--replay", "round.mid")
    assert asked.stdout.startswith(
        "Bars 5 and 6 (Verse): begun and not yet at the chart's tempo; 72 of 96 reached so far."
    )


def test_without_a_place_it_takes_what_failed_and_says_why(folder: Path) -> None:
    evaluator(folder, "grade", "row.txt", "monday.mid")
    done = evaluator(folder, "practise", "row.txt", "--plain", "--replay", "round.mid")
    first = done.stdout.splitlines()[0]
    assert first.startswith("Bars 1 and 2 (Verse): in the last take, ")
    assert "into A/C#: the bass goes to A" in first


def test_it_shows_in_the_history(folder: Path) -> None:
    evaluator(folder, "practise", "row.txt", "--bars", "5-6", "--replay", "round.mid")
    told = evaluator(folder, "history", "row.txt").stdout
    assert "bars 5 and 6: 72 of 96 reached, seven times through on one day" in told
    (row,) = json.loads(evaluator(folder, "history", "--json", "-").stdout)["practised"]
    assert (row["bars"], row["bpm"], row["chart_bpm"], row["mastered"]) == ([5, 6], 72, 96, False)
    done = evaluator(folder, "history", "row.txt", "--forget")
    assert done.stdout == "No takes and three rounds of practising forgotten.\n"


def test_one_hand_is_practised_and_said(folder: Path) -> None:
    words = ("--bars", "5-6", "--with", "left", "--replay", "round.mid")
    done = evaluator(folder, "practise", "row.txt", *words)
    assert done.stdout.startswith("Bars 5 and 6 (Verse), right hand.")
    told = evaluator(folder, "history", "row.txt").stdout
    assert "bars 5 and 6, right hand: 72 of 96 reached" in told


def test_nothing_known_and_nothing_asked_for(folder: Path) -> None:
    said = refused(evaluator(folder, "practise", "row.txt"), 2)
    assert "play it once with `evaluator listen`, or say what with --bars or --section." in said
    said = refused(evaluator(folder, "practise", "row.txt", "--student", "Anna"), 2)
    assert "of Anna" in said


def test_where_nothing_fails_it_says_so(folder: Path) -> None:
    (folder / "clean.mid").write_bytes(take())
    evaluator(folder, "grade", "row.txt", "clean.mid")
    done = evaluator(folder, "practise", "row.txt")
    assert done.returncode == 0
    assert done.stdout.startswith("Nothing needs practising today")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--bars", "99"), "There are no bars 99"),
        (("--bars", "1-2", "--section", "Verse"), "either bars or a section"),
        (
            ("--bars", "1-2", "--minutes", "90"),
            "is not a time in minutes; give a number from 0.5 to 60",
        ),
        (("--bars", "1-2", "--with", "left", "--with", "right"), "one hand along, not both"),
        (("--bars", "1-2", "--with", "nothing", "--with", "click"), "goes with no other"),
        (("--bars", "1-2", "--replay", "round.mid", "--port", "x"), "leave out --port"),
    ],
)
def test_wrong_words_are_told(folder: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(evaluator(folder, "practise", "row.txt", *words), 2)


def test_what_cannot_be_read_is_told_before_anything_is_played(folder: Path) -> None:
    words = ("practise", "row.txt", "--bars", "1-2", "--replay")
    assert "not a MIDI file" in refused(evaluator(folder, *words, "row.txt"), 1)
    assert "no take" in refused(evaluator(folder, *words, "none.mid"), 1)
