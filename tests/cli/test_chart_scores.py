"""`evaluator chart show`, `import` and `export`."""

import subprocess
from pathlib import Path

import pytest

from tests.cli.commands import evaluator, program, refused
from tests.notation.sheets import chord, note, packed, repeat, score

SCORE = score(chord("C") + note(words="1:hey"), chord("G", offset=2) + note())


@pytest.fixture
def scores(folder: Path) -> Path:
    (folder / "boat.musicxml").write_bytes(SCORE)
    (folder / "boat.mxl").write_bytes(packed(SCORE))
    return folder


def done_well(done: subprocess.CompletedProcess[str]) -> str:
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_score_becomes_a_chart_without_mistakes(scores: Path) -> None:
    done = evaluator(scores, "chart", "import", "boat.mxl", "-o", "boat.txt")
    assert done_well(done) == ""
    assert done.stderr.startswith("boat.mxl: the score gives no tempo")
    assert "No mistakes." in done_well(evaluator(scores, "chart", "check", "boat.txt"))


def test_without_a_name_the_chart_is_printed(scores: Path) -> None:
    done = evaluator(scores, "chart", "import", "boat.musicxml")
    assert "| C | C G |\n  hey\n" in done_well(done)


def test_a_chart_is_never_written_over(scores: Path) -> None:
    before = (scores / "row.txt").read_bytes()
    said = refused(evaluator(scores, "chart", "import", "boat.mxl", "-o", "row.txt"), 1)
    assert "row.txt already exists" in said
    assert (scores / "row.txt").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("take.musicxml", b"MThd\x00\x00\x00\x06", "take.musicxml is a MIDI file, not a score"),
        ("page.mxl", b"%PDF-1.7", "page.mxl is a PDF document, not a score"),
        ("empty.mxl", b"", "empty.mxl is empty"),
        pytest.param(
            "torn.mxl", packed(SCORE)[:90], "torn.mxl: This archive is damaged", id="torn archive"
        ),
        ("torn.musicxml", SCORE[:-20], "torn.musicxml: This score is damaged in line 1"),
        ("text.musicxml", b"title: x", "text.musicxml: This file is not MusicXML"),
        (
            "long.musicxml",
            score(chord("C") + note() + repeat("backward", times=6000)),
            "long.musicxml: With its repeats this score has more than 1,000 bars",
        ),
    ],
)
def test_what_is_no_score_is_told(folder: Path, name: str, raw: bytes, said: str) -> None:
    (folder / name).write_bytes(raw)
    assert said in refused(evaluator(folder, "chart", "import", name, "-o", "x.txt"), 1)
    assert not (folder / "x.txt").exists()


def test_a_chart_becomes_a_score_and_a_chart_again(folder: Path) -> None:
    done_well(evaluator(folder, "chart", "export", "row.txt", "-o", "row.musicxml"))
    assert (folder / "row.musicxml").read_text(encoding="utf-8").startswith("<?xml")
    done_well(evaluator(folder, "chart", "import", "row.musicxml", "-o", "again.txt"))
    checked = done_well(evaluator(folder, "chart", "check", "again.txt"))
    assert checked.startswith("Copper Kettle Row: 16 bars of 4/4 at 96 beats a minute.")


def test_a_score_is_not_written_over_its_chart(folder: Path) -> None:
    refused(evaluator(folder, "chart", "export", "row.txt", "-o", "row.txt"), 2)


@pytest.mark.parametrize("name", ["row.mxl", "row.PDF", "row.mid"])
def test_a_score_has_no_name_of_something_else(folder: Path, name: str) -> None:
    said = refused(evaluator(folder, "chart", "export", "row.txt", "-o", name), 2)
    assert "Give it a name that ends in .musicxml." in said
    assert not (folder / name).exists()


def test_a_chart_with_mistakes_is_not_exported(folder: Path) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8").replace("Bm7", "Bm77")
    (folder / "row.txt").write_text(text, encoding="utf-8")
    said = refused(evaluator(folder, "chart", "export", "row.txt", "-o", "row.musicxml"), 1)
    assert said.startswith("row.txt:12:")


def test_a_chart_is_shown_for_the_music_stand(folder: Path) -> None:
    shown = done_well(evaluator(folder, "chart", "show", "row.txt", COLUMNS="60"))
    assert "[Verse]  bars 1 to 8\n| D | A | Bm7 | G |\n  Down by the kettle" in shown


def test_a_page_of_it_is_written(folder: Path) -> None:
    assert done_well(evaluator(folder, "chart", "show", "row.txt", "--html", "row.html")) == ""
    assert "Down by the kettle" in (folder / "row.html").read_text(encoding="utf-8")


def test_without_music21_only_scores_fail(folder: Path) -> None:
    (folder / "music21.py").write_text("raise ImportError", encoding="utf-8")
    done = program(
        folder, "chart", "export", "row.txt", "-o", "row.musicxml", PYTHONPATH=str(folder)
    )
    assert "pip install" in refused(done, 2)
    done_well(program(folder, "chart", "show", "row.txt", PYTHONPATH=str(folder)))
