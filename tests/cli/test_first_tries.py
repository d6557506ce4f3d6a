"""What is somebody told who tries the program for the first time, and takes one for another?

Each row was typed in a fresh checkout; what is told says what is wrong and what to do.
"""

from pathlib import Path
from typing import Final

import pytest

from tests.cli.commands import evaluator, refused

TRIED: Final[dict[tuple[str, ...], str]] = {
    ("grade",): "evaluator grade: Not given: CHART, TAKE.\n"
    "`evaluator grade --help` says how it is given.\n",
    ("grade", "row.txt", "monday.mid", "--jsn", "x"): "There is no option --jsn. "
    "Did you mean --json?",
    ("grade", "row.txt", "monday.mid", "--colour=red"): "There is no option --colour.",
    ("chart",): "evaluator chart: Not given: COMMAND.",
    ("chart", "check", "row.txt", "row.txt"): "There is no place for `row.txt`.",
    ("demo", "row.txt"): "There is no place for `row.txt`.",
    ("--verison",): "There is no option `--verison` before a command; there are --help and",
}
WRONG_FILES: Final[dict[tuple[str, ...], str]] = {
    ("grade", "a score.xml", "monday.mid"): "a score.xml is a MusicXML score, not a chart. "
    "Make one of it: evaluator chart import 'a score.xml' -o CHART",
    ("chart", "draft", "monday.mid"): "not a sheet. A take is given as --take monday.mid",
    ("chart", "import", "row.txt", "-o", "x.txt"): "Scores are .musicxml or .mxl.",
    ("listen", "row.txt", "--replay", "a.wav"): "a.wav: This is a WAV sound recording",
    ("grade", ".", "monday.mid"): ". is a folder; give the chart inside it.",
    ("grade", "row.txt", "a.wav"): "a.wav: This is a WAV sound recording, not a MIDI file.",
}


@pytest.fixture
def desk(folder: Path) -> Path:
    (folder / "a score.xml").write_text('<?xml version="1.0"?>\n<score-partwise/>\n')
    (folder / "a.wav").write_bytes(b"RIFF\x24\0\0\0WAVEfmt ")
    return folder


@pytest.mark.parametrize(("words", "said"), TRIED.items(), ids=" ".join)
def test_wrong_words_are_answered_in_sentences(
    desk: Path, words: tuple[str, ...], said: str
) -> None:
    told = refused(evaluator(desk, *words), 2)
    assert said in told
    assert "usage" not in told


@pytest.mark.parametrize(("words", "said"), WRONG_FILES.items(), ids=" ".join)
def test_so_are_wrong_files(desk: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(evaluator(desk, *words), 1)


@pytest.mark.parametrize("columns", [40, 60])
@pytest.mark.parametrize(
    "words",
    [
        ("grade", "row.txt", "monday.mid"),
        ("grade", "row.txt", "."),
        ("chart", "check", "row.txt"),
        ("chart", "show", "row.txt"),
    ],
    ids=" ".join,
)
def test_no_line_is_wider_than_a_narrow_terminal(
    folder: Path, words: tuple[str, ...], columns: int
) -> None:
    chart = (folder / "row.txt").read_text(encoding="utf-8")
    solo = "\n[Solo of the second violin] optional\n| G | A | G | A |\n"
    (folder / "row.txt").write_text(chart + solo, encoding="utf-8")
    told = evaluator(folder, *words, COLUMNS=str(columns)).stdout
    assert told
    assert [line for line in told.splitlines() if len(line) > columns] == []
