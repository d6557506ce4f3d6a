"""What does a student see while playing? The layout is this program's own."""

from dataclasses import replace
from functools import cache

import pytest

from evaluator.grading import prepare
from evaluator.live.session import Session, Settings
from evaluator.show.glyphs import ASCII, UNICODE
from evaluator.show.live_page import LivePage, lay_live, news
from evaluator.show.page import Line, Sheet, cells
from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART, take
from tests.live.script import START
from tests.live.stage import entries_of, perform
from tests.playing import WrongBass, WrongChord

WIDE_CHART = CHART.replace("Down by the kettle", "Down by the kettle " + "and the lane " * 9)
BAR = 2.5


@cache
def page_at(bars: float, chart: str = CHART) -> LivePage:
    """The page after so many bars of a take with a wrong bass in bar 2 and chord in bar 6."""
    played = read_take(take(WrongBass(2, "A"), WrongChord(6, "Gm")))
    session = Session(prepare(chart), Settings())
    pages = perform(session, entries_of(played), until=START + 1.0 + bars * BAR)
    return list(pages)[-1][1]


def playing() -> LivePage:
    return page_at(7.6)


def sheet(width: int = 80, *, utf: bool = True) -> Sheet:
    return Sheet(width, UNICODE if utf else ASCII, "utf-8" if utf else "ascii")


def rows(lines: list[Line]) -> list[str]:
    return ["".join(text for text, _ in line).rstrip() for line in lines]


def test_the_bar_being_played_stands_out_without_colour() -> None:
    shown = rows(lay_live(playing(), sheet(), 24))
    assert any("▐A    ▌" in row.replace(" ▌", "▌").replace("A     ", "A    ") for row in shown)
    assert sum("▐" in row for row in shown) == 1
    assert any("next" in row for row in shown)


def test_marks_stand_at_the_bars_and_what_they_mean_below() -> None:
    shown = rows(lay_live(playing(), sheet(), 24))
    numbers = next(row for row in shown if row.strip().startswith("1 "))
    assert "1 ok" in numbers
    assert "2 ▼" in numbers
    assert any("2 ▼ bass A instead of C#" in row for row in shown)
    assert any("6 ◆" in row for row in shown)


def test_the_words_stand_under_the_chords() -> None:
    assert "  somebody's humming what the rain let in" in rows(lay_live(playing(), sheet(), 24))


@pytest.mark.parametrize("width", [40, 60, 80, 140, 200])
@pytest.mark.parametrize("height", [5, 12, 24, 40])
@pytest.mark.parametrize("utf", [True, False])
def test_nothing_is_wider_or_higher_than_the_terminal(width: int, height: int, utf: bool) -> None:
    for page in (playing(), page_at(0.1), page_at(2.2, WIDE_CHART), replace(playing(), here=None)):
        shown = rows(lay_live(page, sheet(width, utf=utf), height))
        assert len(shown) <= height
        assert all(cells(row) <= width for row in shown)
        if not utf:
            assert all(row.isascii() for row in shown)


@pytest.mark.parametrize("bars", [0.5, 3.5, 7.6, 11.2, 15.5])
@pytest.mark.parametrize("height", [12, 16, 24])
def test_the_bar_being_played_is_always_in_sight(bars: float, height: int) -> None:
    shown = rows(lay_live(page_at(bars), sheet(60), height))
    assert sum("▐" in row for row in shown) == 1


def test_the_state_is_said_in_words() -> None:
    away = replace(playing(), state="away")
    assert any("Plug it in again" in row for row in rows(lay_live(away, sheet(), 24)))
    counting = replace(playing(), here=None, state="counting", count=(2, 3))
    assert "1 2 3   (2 to go)" in rows(lay_live(counting, sheet(), 24))


def test_titles_cannot_steer_the_terminal() -> None:
    evil = replace(playing(), title="\x1b[2JRow [bold]", notes=("\x1b]0;x\x07",))
    assert not any("\x1b" in row for row in rows(lay_live(evil, sheet(), 24)))


def test_told_in_lines_each_bar_is_told_once() -> None:
    played = read_take(take(WrongBass(2, "A")))
    session = Session(prepare(CHART), Settings())
    told: list[str] = []
    before = None
    for _, page in perform(session, entries_of(played), until=START + 60):
        told += news(page, before)
        before = page
    assert told[:2] == ["Listening to Piano.", "Play when you like."]
    bars = [line for line in told if line.startswith("bar ")]
    assert len(bars) == 16
    assert bars[0] == "bar 1, Verse: right"
    assert bars[1] == "bar 2, Verse: bass A instead of C#"
    assert told[-1] == "That was the end."


def test_bars_that_turn_out_to_be_others_are_told_again_in_lines() -> None:
    first, second, third, *_ = playing().played
    before = replace(playing(), played=(first, second))
    turned = replace(playing(), played=(first, third))
    assert list(news(turned, before)) == [f"bar {third.number}, {third.section}: right"]
    assert list(news(before, before)) == []
