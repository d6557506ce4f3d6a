"""Is what the readers' pages say true?

Charts in them are read by the program, commands and links are looked up, and what the
tables list is tried.
"""

import re
from pathlib import Path

import pytest

from evaluator.chart import read_chart
from evaluator.cli.main import COMMANDS
from evaluator.show.glyphs import UNICODE
from evaluator.theory.symbol import parse_chord

ROOT = Path(__file__).resolve().parents[1]
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    "charts/README.md",
    "docs/CHANGELOG.md",
    "docs/marks.md",
    "docs/python.md",
    "recordings/README.md",
)


def page(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def blocks(name: str) -> list[str]:
    """Everything between fences."""
    return re.findall(r"^```\w*\n(.*?)^```", page(name), re.M | re.S)


@pytest.mark.parametrize("name", PAGES)
def test_charts_in_the_pages_have_no_mistakes(name: str) -> None:
    for block in blocks(name):
        if block.startswith("title:"):
            assert read_chart(block).count > 0


def test_there_are_charts_to_read() -> None:
    assert sum(block.startswith("title:") for block in blocks("charts/README.md")) == 2
    assert sum(block.startswith("title:") for block in blocks("README.md")) == 1


@pytest.mark.parametrize("name", PAGES)
def test_links_lead_to_files(name: str) -> None:
    for link in re.findall(r"\]\(([^)#]+)\)", page(name)):
        assert link.startswith("https://") or (ROOT / name).parent.joinpath(link).exists(), link


@pytest.mark.parametrize("name", PAGES)
def test_the_commands_exist(name: str) -> None:
    for block in blocks(name):
        for command in re.findall(r"^(?:\.venv/bin/)?evaluator (\S+)", block, re.M):
            assert command in COMMANDS, command


def test_the_two_commands_stand_on_a_line_each() -> None:
    """`.ci/run` runs them from there."""
    lines = [line for line in page("README.md").splitlines() if line.startswith("python3 -m venv ")]
    assert len(lines) == 2
    assert lines[0].endswith("evaluator demo")
    assert "'.[test]'" in lines[1]


def test_every_mark_of_the_song_is_explained() -> None:
    text = page("README.md")
    kinds = ("chord", "incomplete", "bass", "rhythm", "missing", "extra", "restart", "break")
    for kind in (*kinds, "left out", "lost"):
        assert f"| {UNICODE.of(kind)} |" in text


def test_every_chord_of_the_chart_page_is_one() -> None:
    table = page("charts/README.md").split("## Chords")[1].split("## ")[0]
    chords = re.findall(r"`(C[^`]*|Am7/D|D/F#)`", table)
    assert len(chords) > 35
    for chord in chords:
        parse_chord(chord)


def test_every_line_of_the_table_of_bars_is_read() -> None:
    table = page("charts/README.md").split("## Lines of bars")[1].split("## ")[0]
    lines = [line.replace(r"\|", "|") for line in re.findall(r"^\| `([^`]+)`", table, re.M)]
    assert len(lines) == 12
    song = "\n".join(f"[S{at}]\n| G | D |\n{line}" for at, line in enumerate(lines))
    assert read_chart(f"title: A\ntempo: 90\n{song}\n").count > 24
