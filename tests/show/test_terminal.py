"""The report on a terminal: at every width, in every encoding, with hostile texts."""

import io
import re
from dataclasses import replace

import pytest

from evaluator.chart.graph import HANDS
from evaluator.judge.verdict import HandManner
from evaluator.report.model import Report
from evaluator.show.page import cells
from evaluator.show.terminal import print_report
from tests.report.builders import (
    SONG,
    Line,
    finding,
    judgement,
    lost,
    report,
    right_bar,
    song,
    student_take,
    wrong_chord,
)

WIDTHS = [40, 60, 80, 140, 200]
ESCAPE = "\x1b"


class Screen(io.TextIOWrapper):
    """A stream that says of itself what a test wants."""

    def __init__(self, encoding: str = "utf-8", *, terminal: bool = False) -> None:
        super().__init__(io.BytesIO(), encoding=encoding, newline="\n", write_through=True)
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal

    @property
    def shown(self) -> str:
        self.flush()
        raw = self.buffer.getvalue()  # type: ignore[attr-defined]
        text: str = raw.decode(self.encoding)
        return text


@pytest.fixture(autouse=True)
def _usual_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")


def student() -> Report:
    graph, judged = student_take()
    return report(judged, graph)


def shown(told: Report, encoding: str = "utf-8", *, plain: bool = False) -> str:
    screen = Screen(encoding)
    print_report(told, screen, plain=plain)
    return screen.shown


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_the_terminal(width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    assert max(cells(row) for row in shown(student()).splitlines()) <= width


@pytest.mark.parametrize("width", WIDTHS)
def test_every_bar_of_the_chart_is_shown(width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    body = shown(student()).partition("[Intro]")[2].partition("The form")[0]
    rows = [row for row in body.splitlines() if re.match(r"  \d", row)]
    numbers = [int(number) for row in rows for number in re.findall(r"\b\d+\b", row)]
    assert numbers == list(range(1, 33))


def test_a_line_of_the_song_reads_as_on_the_stand() -> None:
    assert (
        "[Verse 1]\n"
        "| D         | A         | Bm7       | G         |\n"
        "  5           6 ▼         7 ◆         8\n"
        "  Down by the kettle where the lane runs thin\n"
        "    6 ▼ bass A instead of C#\n"
        "    7 ◆ G instead of Bm7\n"
    ) in shown(student())


def test_the_legend_explains_the_marks_that_occur_and_no_others() -> None:
    text = shown(student())
    legend = next(row for row in text.splitlines() if row.startswith("no mark: right"))
    assert "◆ chord   ▼ bass   ♪ pattern   □ bar missing" in legend
    assert "halt" not in text


def test_the_headline_stands_at_the_top_and_the_form_in_sentences() -> None:
    rows = shown(student()).splitlines()
    assert rows[0] == "Kettle Lane (monday.mid)"
    assert rows[1].startswith("Well on the way: 26 of 31 bars")
    assert "  2. In the bass under A, the root A was played instead of C# (Verse 1, bars 6" in rows
    assert "  □ Chorus 2, the tail: three bars of D where the chart has four (bars 29 to" in rows


def test_a_faultless_form_is_said_to_be_one() -> None:
    graph = song()
    assert "  Every bar was there, none missing and none too many.\n" in shown(
        report(judgement(graph), graph)
    )


def test_eight_bars_that_do_not_fit_are_set_in_fours(monkeypatch: pytest.MonkeyPatch) -> None:
    graph = song([("Verse", (Line(" | ".join(["Gmaj7sus4"] * 8)),))])
    monkeypatch.setenv("COLUMNS", "80")
    rows = shown(report(judgement(graph), graph)).splitlines()
    assert [row.count("| ") for row in rows if row.startswith("|")] == [4, 4]
    monkeypatch.setenv("COLUMNS", "140")
    rows = shown(report(judgement(graph), graph)).splitlines()
    assert [row.count("| ") for row in rows if row.startswith("|")] == [8]


def test_a_bar_longer_than_the_terminal_is_wrapped_not_cut() -> None:
    graph = song([("Verse", (Line(" ".join(["Gmaj7(#11)"] * 30)),))])
    text = shown(report(judgement(graph), graph))
    assert text.count("Gmaj7(#11)") == 30
    assert max(cells(row) for row in text.splitlines()) <= 80


def test_an_or_line_that_was_played_is_shown_as_one() -> None:
    graph = song()
    order = [*range(8), *range(12, len(graph.bars))]
    assert "or | D         | A         | Em7       | A         |\n" in shown(
        report(judgement(graph, order), graph)
    )


def test_a_section_left_out_is_one_line() -> None:
    graph = song([*SONG[:1], ("Solo", (Line("Bm7 | G"),)), *SONG[1:]])
    order = [index for index in graph.written if graph.bars[index].section != "Solo"]
    text = shown(report(judgement(graph, order), graph))
    assert "[Solo] left out, as the chart allows (bars 5 and 6)\n" in text


def test_what_a_partial_take_does_not_reach_is_one_line() -> None:
    graph = song()
    text = shown(report(judgement(graph, range(8)), graph, complete=False))
    assert "  9 …         10 …" in text
    assert "[Chorus 2] not reached (bars 25 to 32)\n" in text
    assert "Every bar was there, none missing and none too many, as far as the take goes." in text


def test_a_bar_taken_again_tells_which_time_was_wrong() -> None:
    graph = song()
    form = [finding("restart", [2], graph, count=1, halt=2.0)]
    spoiled = {2: wrong_chord(right_bar(graph, 1, 2), "A")}
    text = shown(report(judgement(graph, [0, 1, 1, 2, 3], spoiled=spoiled, form=form), graph))
    assert "2×2 ◆«" in text
    assert "    2, 1st time: ◆ A instead of D\n" in text


def test_another_song_gets_its_headline_and_no_marks() -> None:
    graph = song()
    text = shown(report(judgement(graph, range(3), matches=False), graph))
    assert "This does not sound like Kettle Lane" in text
    assert "Marks" not in text
    assert "[Intro]" not in text


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437", "latin-1"])
def test_a_terminal_without_unicode_gets_shapes_of_ascii(encoding: str) -> None:
    graph, judged = student_take()
    told = replace(report(judged, graph), headline="B♭Δ is there")
    text = shown(told, encoding)
    assert "6 _ " in text
    assert "7 * " in text
    assert "32 []" in text
    assert "Bbmaj7 is there" in text


HOSTILE = "\x1b[2J[bold]:smile:[/] \u202egpj.\x9b31m\u200b"


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("terminal", [False, True])
def test_hostile_texts_are_only_text(plain: bool, terminal: bool) -> None:
    sections = [(HOSTILE, (Line(f"{HOSTILE} | D", HOSTILE),))]
    graph = song(sections, title=HOSTILE)
    spoiled = {1: wrong_chord(right_bar(graph, 0, 1), HOSTILE)}
    judged = judgement(graph, spoiled=spoiled, form=[finding("break", [2], graph)])
    told = report(judged, graph, repairs=(HOSTILE,))
    told = replace(told, take=replace(told.take, file=HOSTILE + "\udcff"))
    screen = Screen(terminal=terminal)
    print_report(told, screen, plain=plain)
    # With the colours that are ours taken out, nothing that steers is left.
    text = re.sub(r"\x1b\[[0-9;]*m", "", screen.shown)
    assert "[2J[bold]:smile:[/]" in text
    assert not set(text) & set("\x1b\x9b\u202e\u200b")
    assert ESCAPE in screen.shown or plain or not terminal


def test_a_person_at_a_terminal_gets_colours() -> None:
    screen = Screen(terminal=True)
    print_report(student(), screen)
    assert ESCAPE in screen.shown
    assert re.sub(r"\x1b\[[0-9;]*m", "", screen.shown).replace(" ", "") == shown(student()).replace(
        " ", ""
    )


@pytest.mark.parametrize(
    ("name", "value"), [("NO_COLOR", "1"), ("TERM", "dumb"), ("TERM", "unknown")]
)
def test_colours_can_be_refused(name: str, value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(name, value)
    screen = Screen(terminal=True)
    print_report(student(), screen)
    assert ESCAPE not in screen.shown
    assert "◆" in screen.shown


def test_a_pipe_gets_no_escape_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert ESCAPE not in shown(student())


@pytest.mark.parametrize("columns", ["", "0", "wide", "-3", "²"])
def test_an_odd_width_is_taken_for_the_usual_one(
    columns: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert 70 < max(cells(row) for row in shown(student()).splitlines()) <= 80


def test_another_rhythm_is_not_read_aloud_in_full_for_every_bar() -> None:
    graph = song()
    spoiled = {}
    for number in (5, 6):
        bar = right_bar(graph, number - 1, number)
        other = tuple(HandManner(hand, "quarters") for hand in HANDS)
        spoiled[number] = replace(bar, rhythm=replace(bar.rhythm, otherwise=other))
    rows = shown(report(judgement(graph, spoiled=spoiled), graph), plain=True).splitlines()
    assert rows.count("bar 5, Verse 1: in another rhythm") == 1
    assert sum("in quarters" in row for row in rows) == 1


def test_spoken_reports_have_a_line_a_bar() -> None:
    rows = shown(student(), plain=True).splitlines()
    assert [row for row in rows if row.startswith("bar ")][4:7] == [
        "bar 5, Verse 1: right",
        "bar 6, Verse 1: bass A instead of C#",
        "bar 7, Verse 1: G instead of Bm7",
    ]
    assert "bar 15, Chorus: right hand misses beat 3 and the and of 4" in rows
    assert "bar 24, Verse 2: could not follow here" in rows
    assert not any(sign in row for row in rows for sign in "◆◇▼♪□|")


def test_spoken_reports_tell_everything_that_the_page_tells() -> None:
    told = student()
    text = shown(told, plain=True)
    for sentence in (told.headline, *told.remarks, *told.fix_first, told.form[0].say):
        assert sentence in text
    assert all(f"{loop.why}. {loop.listen}" in text for loop in told.practise)


def test_a_bar_that_could_not_be_followed_has_a_mark_and_no_fault() -> None:
    graph = song()
    text = shown(report(judgement(graph, spoiled={2: lost(right_bar(graph, 1, 2))}), graph))
    assert "2 ?" in text
    assert "? could not follow" in text
