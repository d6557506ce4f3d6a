"""Do marks stand in the order in which teachers would put the takes, and pass what they would?

One song, and some invented ones, played by the same student in many ways. Common practice, no
source.
"""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import pytest

from evaluator.chart.graph import BarGraph
from evaluator.grading import grade_fully, prepare
from evaluator.judge import rubric as rubrics
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.rubric_text import read_rubric
from evaluator.report.model import Report
from tests.bench.invent import invent
from tests.end_to_end.lesson import SONG, UNEVEN, performed
from tests.end_to_end.test_whole_takes import OTHER_SONG
from tests.playing import Pause, WrongBass, WrongChord, play, to_midi

BARS = range(1, 48)
SIMPLER = [
    *(
        SONG.replace("right | . . x . . x x . |", f"right | {row} |")
        for row in (". . x . . . x .", "x . x . x . x .", "x x x x x x x x")
    ),
    *(
        re.sub(r"(left|right) +\| .* \|", rf"\1 | {row} |", SONG)
        for row in ("x . . . . . . .", "x . . . x . . .")
    ),
]
CONCERT_READY: Rubric = read_rubric(
    Path(rubrics.__file__).with_name("rubrics").joinpath("concert-ready.toml").read_text("utf-8"),
    file="concert-ready",
)


def take(
    text: str = SONG, *faults: Any, order: Sequence[int] | None = None, rubric: Rubric = STEADY
) -> Report:
    """The song graded as it was played from a chart of its own."""
    midi = to_midi(performed(text, *faults, order=order))
    return grade_fully(prepare(SONG), midi, rubric=rubric).report


def mark(*faults: Any, order: Sequence[int] | None = None) -> float:
    return take(SONG, *faults, order=order).marks.overall


def without(*gone: int) -> list[int]:
    return [bar for bar in BARS if bar not in gone]


def wrong_chords(bars: Iterable[int]) -> list[Any]:
    return [fault for bar in bars for fault in (WrongChord(bar, "Fm"), WrongBass(bar, "F"))]


THREE_IN_TEN = [bar for bar in BARS if bar % 10 in (2, 5, 8)]


def test_the_more_of_the_song_is_missing_the_lower_the_mark() -> None:
    faithful = mark()
    short_tail = mark(order=without(20))
    no_verse = mark(order=without(*range(21, 29)))
    half = mark(order=range(1, 24))
    assert 100.0 >= faithful > short_tail > no_verse > half
    assert faithful >= 95.0
    assert short_tail >= STEADY.pass_mark


def test_the_fewer_of_the_chords_are_right_the_lower_the_mark() -> None:
    faithful = mark()
    simpler = [take(text).marks.overall for text in SIMPLER]
    wrong = take(SONG, *wrong_chords(THREE_IN_TEN))
    assert faithful >= max(simpler)
    assert min(simpler) > wrong.marks.overall
    assert not wrong.reckoning.passed
    assert not take(OTHER_SONG).matches


@pytest.mark.parametrize("often", [5, 4, 3])
def test_the_count_of_right_bars_and_the_mark_agree(often: int) -> None:
    wrong = [bar for bar in BARS if bar % often == 0]
    report = take(SONG, *wrong_chords(wrong))
    right = len(BARS) - len(wrong)
    assert f"{right} of {len(BARS)} bars" in report.headline
    assert report.marks.overall <= 100 * right / len(BARS)


def test_half_of_the_song_is_marked_for_its_bars_and_does_not_pass() -> None:
    report = take(order=range(1, 24))
    assert not report.reckoning.passed
    assert report.reckoning.extent is not None
    assert report.reckoning.extent.share < 0.6


def test_a_section_left_out_does_not_pass_where_the_rubric_wants_the_whole() -> None:
    lacking = without(*range(21, 29))
    assert not take(order=lacking, rubric=CONCERT_READY).reckoning.passed


def test_three_bars_are_no_song() -> None:
    assert not take(order=range(1, 4)).reckoning.passed


def test_fifteen_halts_are_not_ready_for_a_concert() -> None:
    halts = [Pause(bar, 2.0, 1.0 + bar % 4) for bar in range(3, 47, 3)]
    assert len(halts) == 15
    assert take(SONG, rubric=CONCERT_READY).reckoning.passed
    assert not take(SONG, *halts, rubric=CONCERT_READY).reckoning.passed
    assert not take(SONG, *halts).reckoning.passed


def simpler(text: str, each: int) -> str:
    """The chart with a strike of both hands on every so many beats in the place of its patterns."""
    lines, count = [], []
    for line in text.splitlines():
        row = re.match(r"(\s*(count|left|right)\s*\| )(.*)( \|)$", line)
        cells = row[3].split() if row else []
        if row and row[2] == "count":
            count = cells
        elif row and len(cells) == len(count):
            beats = [place for place, cell in enumerate(count) if cell.isdigit()][::each]
            struck = ["x" if place in beats else "." for place in range(len(count))]
            line = f"{row[1]}{' '.join(struck)}{row[4]}"
        lines.append(line)
    return "\n".join(lines) + "\n"


def far_off(chart: BarGraph, bars: Iterable[int]) -> list[Any]:
    """Wrong chords with as few tones of those that are written as can be."""
    faults: list[Any] = []
    for bar in bars:
        wanted = chart.bars[chart.written[bar - 1]].spans[0].allowed
        root = min(range(12), key=lambda at: len({at, (at + 3) % 12, (at + 7) % 12} & wanted))
        name = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"][root]
        faults += [WrongChord(bar, f"{name}m"), WrongBass(bar, name)]
    return faults


@pytest.mark.parametrize("seed", [0, 20, 37])
def test_the_order_is_that_of_any_song(seed: int) -> None:
    text = invent(seed)
    song = prepare(text)
    written = list(song.graph.written)

    def marked(order: Sequence[int], *faults: Any, chart: BarGraph = song.graph) -> float:
        midi = to_midi(play(chart, order, faults=faults, seed=seed, **UNEVEN))
        return grade_fully(song, midi).judgement.marks.overall

    by_section: dict[int, list[int]] = {}
    for bar in written:
        by_section.setdefault(song.graph.bars[bar].section_index, []).append(bar)
    sections = [bars for bars in by_section.values() if len(bars) >= 4][1:-1]
    gone = next(bars for bars in sections if not _may_go(song.graph, written, bars))
    one_short = [bar for bar in written if bar != gone[-1]]
    missing = [bar for bar in written if bar not in gone]
    marks = [marked(one) for one in (written, one_short, missing, written[: len(written) // 2])]
    assert marks == sorted(marks, reverse=True)
    assert len(set(marks)) == len(marks)
    tenths = [bar for bar in range(1, len(written) + 1) if bar % 10 in (2, 5, 8)]
    wrong = marked(written, *far_off(song.graph, tenths))
    for each in (1, 2):
        other = prepare(simpler(text, each)).graph
        assert marks[0] >= marked(written, chart=other) > wrong
    assert wrong < STEADY.pass_mark


def _may_go(chart: BarGraph, written: Sequence[int], bars: Sequence[int]) -> bool:
    """Whether these bars may be left out."""
    first, behind = written.index(bars[0]), written.index(bars[-1]) + 1
    return written[behind] in chart.successors[written[first - 1]]
