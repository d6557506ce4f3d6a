"""How large may things be? What is larger is refused in a sentence; what is large works.

The limits are this program's own; each stands well beyond what a lesson has.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from evaluator.chart import read_chart
from tests.cli.commands import CHART, take
from tests.end_to_end.hostile import told
from tests.notation.sheets import chord, note, repeat, score
from tests.playing import Missed, WrongBass, play, to_midi
from tests.take.build import chunk, end, header, midi, off, on

TOP: Final = "title: Tin Bird\ntempo: 120\n"
WALK: Final = """\
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |
"""
NOTE: Final = on(0, 60) + off(1, 60)
HOUR: Final = 96 * 2 * 3600
"""Ticks at 120 beats a minute."""


def sections(count: int) -> str:
    """As many bars, twenty in a section."""
    line = "| D | A | Bm7 | G |\n  la la la\n"
    rest = "".join(f"[Part {n + 1}]\n{line * 5}" for n in range(count // 20))
    return f"title: Long Lane\ntempo: 130\n{WALK}\n{rest}"


def in_depth(depth: int) -> bytes:
    inside = b"<x>" * depth + b"</x>" * depth
    return score(chord("C") + note()).replace(b"<measure ", inside + b"<measure ", 1)


CHARTS: Final[dict[str, tuple[Callable[[], str], str]]] = {
    "a file": (lambda: TOP + "# long\n" * 150_000, "is larger than 1 MB; that is not a chart."),
    "bars": (
        lambda: TOP + "[A]\n" + "| C | D |\n" * 501,
        "from here on the chart has more than 1000 bars",
    ),
    "bars of a counted line": (
        lambda: TOP + "[A]\n| C | x1001\n",
        "from here on the song has more than 1000 bars",
    ),
    "bars of sections played again": (
        lambda: TOP + "[A]\n" + "| C | x250\n" + "[A]\n" * 4,
        "from here on the song has more than 1000 bars",
    ),
    "sections": (
        lambda: TOP + "".join(f"[A{n}]\n| C |\n" for n in range(501)),
        "a song has at most 500 sections",
    ),
    "ways from bar to bar": (
        lambda: (
            TOP + "".join(f"[A{n}] optional\n| C | x1-9\n" for n in range(55)) + "[End]\n| C |\n"
        ),
        "here the song has more than 1500 ways from bar to bar",
    ),
    "patterns": (
        lambda: TOP + "".join(f"pattern p{n}\n left | x |\n" for n in range(201)) + "[A]\n| C |\n",
        "a chart has at most 200 patterns",
    ),
    "columns of a bar": (
        lambda: TOP + "[A]\n| C |\n right | " + "C4 " * 97 + "|\n",
        "a bar has at most 96 columns",
    ),
    "a line": (lambda: TOP + "[A]\n|" + " C |" * 501, "a line has at most 2000 signs"),
    "beats of a bar": (lambda: TOP + "meter: 33/4\n[A]\n| C |\n", "a meter has 1 to 32 beats"),
    "keys struck together": (
        lambda: (
            TOP
            + "[A]\n| C |\n right | "
            + "+".join(f"{k}{n}" for k in "CEG" for n in range(1, 5))
            + " |\n"
        ),
        "a hand plays at most 10 keys at once",
    ),
}


@pytest.mark.parametrize(("chart", "said"), CHARTS.values(), ids=CHARTS.keys())
def test_a_chart_that_is_too_large_is_refused_with_the_limit(
    tmp_path: Path, chart: Callable[[], str], said: str
) -> None:
    (tmp_path / "song.txt").write_text(chart(), encoding="utf-8")
    refusal = told(tmp_path, "chart", "check", "song.txt")
    assert refusal.status == 1
    assert said in " ".join(refusal.err.split())
    assert len(refusal.err) < 5000


TAKES: Final[dict[str, tuple[Callable[[], bytes], str]]] = {
    "a file": (lambda: bytes(20_000_001), "is larger than 20 MB; that is not a take."),
    "notes": (
        lambda: midi(NOTE * 100_001, division=9600),
        "The file holds 100001 notes, more than the 100000 that are read.",
    ),
    "strikes": (
        lambda: midi((on(24, 60) + off(24, 60)) * 5_001),
        "The take holds 5001 strikes, more than the 5000 that are followed",
    ),
    "hours": (
        lambda: midi(NOTE + on(5 * HOUR, 60) + off(1, 60)),
        "The take lasts 5.0 hours, more than the 4 that are read",
    ),
    "tracks": (
        lambda: header(1001) + chunk(b"MTrk", NOTE + end()) * 1001,
        "The file holds more than 1000 tracks",
    ),
}


@pytest.mark.parametrize(("content", "said"), TAKES.values(), ids=TAKES.keys())
def test_a_take_that_is_too_large_is_refused_with_the_limit(
    tmp_path: Path, content: Callable[[], bytes], said: str
) -> None:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "take.mid").write_bytes(content())
    refusal = told(tmp_path, "grade", "row.txt", "take.mid")
    assert (refusal.status, refusal.out) == (1, "")
    assert said in refusal.err


SCORES: Final[dict[str, tuple[Callable[[], bytes], str]]] = {
    "a file": (lambda: b"<" + bytes(20_000_000), "is larger than 20 MB; that is not a score."),
    "bars": (
        lambda: score(*[chord("C") + note()] * 2001),
        "This score has more than 2,000 bars.",
    ),
    "bars with repeats": (
        lambda: score(
            repeat("forward") + chord("C") + note(),
            *[chord("C") + note()] * 60,
            note() + repeat("backward", times=100),
        ),
        "With its repeats this score has more than 1,000 bars.",
    ),
    "elements within elements": (lambda: in_depth(65), "nest"),
}


@pytest.mark.parametrize(("content", "said"), SCORES.values(), ids=SCORES.keys())
def test_a_score_that_is_too_large_is_refused_with_the_limit(
    tmp_path: Path, content: Callable[[], bytes], said: str
) -> None:
    (tmp_path / "song.musicxml").write_bytes(content())
    refusal = told(tmp_path, "chart", "import", "song.musicxml")
    assert (refusal.status, refusal.out) == (1, "")
    assert said in refusal.err


OTHERS: Final[dict[str, tuple[tuple[str, ...], str]]] = {
    "a rubric": (("--rubric", "./long.txt"), "is larger than 1 MB; that is not a rubric."),
    "a roster": (("--roster", "long.txt"), "is larger than 1 MB; that is not a roster."),
}


@pytest.mark.parametrize(("words", "said"), OTHERS.values(), ids=OTHERS.keys())
def test_so_is_a_rubric_or_a_roster(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "take.mid").write_bytes(take())
    (tmp_path / "long.txt").write_text("pattern,name\n" * 100_000)
    refusal = told(tmp_path, "grade", "row.txt", "take.mid", *words)
    assert refusal.status == 1
    assert said in refusal.err


def test_a_guide_is_not_longer_than_a_chart_may_be(tmp_path: Path) -> None:
    (tmp_path / "song.txt").write_text(sections(200), encoding="utf-8")
    words = ("chart", "guide", "song.txt", "-o", "guide.mid", "--times")
    refusal = told(tmp_path, *words, "6")
    assert refusal.status == 2
    assert "The guide would be 1200 bars long, more than the 1000" in refusal.err
    assert told(tmp_path, *words, "5").status == 0


def test_a_thousand_bars_and_half_an_hour_are_graded_bar_by_bar(tmp_path: Path) -> None:
    chart = sections(1000)
    graph = read_chart(chart)
    faults = (WrongBass(502, "A"), Missed(999, 2.5, "right"))
    (tmp_path / "song.txt").write_text(chart, encoding="utf-8")
    (tmp_path / "half.mid").write_bytes(to_midi(play(graph, graph.written, faults=faults)))
    words = ("--json", "report.json", "--csv", "book.csv", "--html", "pages")
    done = told(tmp_path, "grade", "song.txt", "half.mid", *words)
    assert (done.status, done.err) == (0, "")
    report = json.loads((tmp_path / "report.json").read_bytes())
    assert report["take"]["seconds"] > 1800
    assert report["take"]["complete"] is True
    assert [bar["bar"] for bar in report["bars"]] == list(range(1, 1001))
    assert [bar["bar"] for bar in report["bars"] if bar["faults"]] == [502, 999]
    assert report["form"] == []
    for command in (("check",), ("show",), ("show", "--html", "song.html")):
        assert told(tmp_path, "chart", command[0], "song.txt", *command[1:]).status == 0
    assert told(tmp_path, "chart", "guide", "song.txt", "-o", "guide.mid").status == 0
