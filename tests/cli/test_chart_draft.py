"""`evaluator chart draft`."""

import json
from pathlib import Path

import pytest

from tests.cli.commands import evaluator, refused, take

SHEET = "Tin Moon\n\n[Verse]\nD   G   A\nHang it up higher\n"


@pytest.fixture
def sheets(folder: Path) -> Path:
    (folder / "moon.sheet").write_text(SHEET, encoding="utf-8")
    return folder


def test_a_sheet_becomes_a_chart_without_mistakes(sheets: Path) -> None:
    done = evaluator(sheets, "chart", "draft", "moon.sheet", "-o", "moon.txt")
    assert done.returncode == 0
    assert done.stderr.startswith("0 of 3 bars are sure")
    assert "No mistakes." in evaluator(sheets, "chart", "check", "moon.txt").stdout


def test_tempo_and_meter_are_taken_as_given(sheets: Path) -> None:
    done = evaluator(sheets, "chart", "draft", "moon.sheet", "--tempo", "72", "--meter", "3/4")
    assert "meter: 3/4\ntempo: 72\n" in done.stdout
    assert "assumed: write" not in done.stdout


def test_a_hyphen_is_the_screen_and_no_file(sheets: Path) -> None:
    done = evaluator(sheets, "chart", "draft", "moon.sheet", "-o", "-")
    assert "| D | G | A |" in done.stdout
    assert not (sheets / "-").exists()


def test_a_chart_is_never_written_over(sheets: Path) -> None:
    before = (sheets / "row.txt").read_bytes()
    said = refused(evaluator(sheets, "chart", "draft", "moon.sheet", "-o", "row.txt"), 1)
    assert "a chart is handwork" in said
    assert (sheets / "row.txt").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("monday.mid",), 1, "monday.mid is a MIDI file, not a sheet"),
        (("nowhere.txt",), 1, "There is no sheet nowhere.txt"),
        (("moon.sheet", "--tempo", "5"), 2, "--tempo: a tempo is 10 to 500 beats per minute"),
        (("moon.sheet", "--meter", "4"), 2, "--meter: `4` is not a meter"),
    ],
)
def test_a_refusal_says_what_and_why(
    sheets: Path, words: tuple[str, ...], status: int, said: str
) -> None:
    assert said in refused(evaluator(sheets, "chart", "draft", *words), status)


def test_with_a_take_the_chart_is_the_song_that_was_played(folder: Path) -> None:
    sheet = "[Verse]\nD A Bm7 G\nla\nD A G A\nlo\n[Chorus]\nG Em7 A D\nlu\nD\n"
    (folder / "sheet.txt").write_text(sheet, encoding="utf-8")
    (folder / "clean.mid").write_bytes(take())
    words = ("sheet.txt", "--take", "clean.mid", "--tempo", "100", "-o", "song.txt")
    assert evaluator(folder, "chart", "draft", *words).returncode == 0
    graded = evaluator(folder, "grade", "song.txt", "clean.mid", "--no-history", "--json", "-")
    assert json.loads(graded.stdout)["scores"]["overall"] >= 97


def test_a_take_of_another_song_is_refused(folder: Path) -> None:
    (folder / "sheet.txt").write_text("[Verse]\nEb Ab Bb7 Cm\nla\nFm Bb Eb\nlo\n")
    said = refused(evaluator(folder, "chart", "draft", "sheet.txt", "--take", "monday.mid"), 1)
    assert "monday.mid: The take does not seem to be this sheet's song" in said


def test_a_take_alone_is_drafted_too(folder: Path) -> None:
    done = evaluator(folder, "chart", "draft", "--take", "monday.mid", "-o", "song.txt")
    assert done.returncode == 0
    assert "title: monday" in (folder / "song.txt").read_text(encoding="utf-8")


def test_without_a_sheet_and_a_take_there_is_nothing_to_draft(folder: Path) -> None:
    assert "Give a sheet, a take" in refused(evaluator(folder, "chart", "draft"), 2)


def test_a_page_has_the_take_beside_the_draft(folder: Path) -> None:
    words = ("--take", "monday.mid", "-o", "song.txt", "--html", "song.html")
    assert evaluator(folder, "chart", "draft", *words).returncode == 0
    page = (folder / "song.html").read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>")
    assert "Part A" in page
    assert page.index("no sheet was given") < page.index('id="h-mark"')


def test_the_page_begins_with_the_bars_that_are_not_sure(folder: Path) -> None:
    sheet = "[Verse]\nD A Eb G\nla\nD A G A\nlo\n[Chorus]\nG Em7 A D\nlu\nD\n"
    (folder / "sheet.txt").write_text(sheet, encoding="utf-8")
    (folder / "clean.mid").write_bytes(take())
    words = ("sheet.txt", "--take", "clean.mid", "--tempo", "100", "--html", "page.html")
    done = evaluator(folder, "chart", "draft", *words)
    (doubt,) = [row[2:] for row in done.stdout.splitlines() if "in the place of" in row]
    page = (folder / "page.html").read_text(encoding="utf-8")
    first = page[: page.index('id="h-mark"')]
    assert doubt.partition(": ")[2] in first
    assert 'data-of="2"' in first
    assert 'data-turns="3"' in first


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("moon.sheet", "--html", "page.html"), "name the take with --take"),
        (("--take", "monday.mid", "--html", "monday.mid"), "is an input"),
        (("--take", "monday.mid", "--html", "a", "-o", "a"), "the same place"),
    ],
)
def test_a_page_stands_in_no_other_place(sheets: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(evaluator(sheets, "chart", "draft", *words), 2)
