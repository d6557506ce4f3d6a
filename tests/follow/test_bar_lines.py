"""Is the place kept when a bar line comes before its time?

A student who loses a beat, or plays on over one, goes on with the next bar all the same:
common practice, no source. The player's own bar lines, moved by what was cut out, are the
truth.
"""

from collections.abc import Sequence

import pytest

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow import Path, follow
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.by_hand import Script
from tests.bench.by_hand import played as by_hand
from tests.bench.edits import cut, play_twice
from tests.follow.songs import BEAT, LINES, numbers, path_of, song, struck
from tests.playing import Miscounted, Performance, play, to_midi
from tests.playing.mistakes import Fault

FREE = (
    "title: Free\nkey: C major\ntempo: 100\n[A]\n| C | Am | F | G |\n| Em | Bb | Dm | A |\n"
    "| E | C#m | D | Gm |\n"
)


def played(graph: BarGraph) -> Performance:
    return play(graph, jitter_ms=8, seed=3)


def without(performance: Performance, graph: BarGraph, bar: int, beats: int) -> Path:
    """The path of the take without the last beats of a bar."""
    end = performance.truth.bars[bar - 1].end
    return follow(graph, strikes(cut(read_take(to_midi(performance)), end - beats * BEAT, end)))


@pytest.mark.parametrize(
    ("text", "bar", "beats"),
    [(LINES, 3, 1), (LINES, 3, 2), (LINES, 7, 2), (LINES, 6, 3), (FREE, 3, 1), (FREE, 3, 2)],
)
def test_a_bar_cut_short_loses_no_place_in_the_song(text: str, bar: int, beats: int) -> None:
    graph = song(text)
    performance = played(graph)
    path = without(performance, graph, bar, beats)
    assert numbers(graph, path) == list(range(1, len(graph.bars) + 1))
    assert {one.entry for one in path.bars[1:]} == {"onward"}
    for place, (found, true) in enumerate(zip(path.bars, performance.truth.bars, strict=True)):
        lost = beats * BEAT if place >= bar else 0.0
        assert found.start == pytest.approx(true.start - lost, abs=0.1)


def test_a_bar_cut_short_has_the_beats_that_were_played() -> None:
    graph = song(LINES)
    path = without(played(graph), graph, 7, 2)
    short = path.bars[6]
    assert short.beats_played == pytest.approx(2.0, abs=0.1)
    assert short.end == path.bars[7].start
    assert [one.beats_played for one in path.bars[:6]] == [4.0] * 6


def test_beats_played_again_without_a_halt_lose_no_place_in_the_song() -> None:
    graph = song(LINES)
    performance = played(graph)
    end = performance.truth.bars[6].end
    take = play_twice(read_take(to_midi(performance)), end - 2 * BEAT, end)
    path = follow(graph, strikes(take))
    assert path.bars[-1].bar == graph.written[-1]
    for found, true in zip(path.bars[::-1][:16], performance.truth.bars[::-1], strict=False):
        assert found.start == pytest.approx(true.start + 2 * BEAT, abs=0.1)


def test_a_written_bar_in_half_its_time_keeps_its_place() -> None:
    """The melody tells which bar it is, where the chord would fit its neighbours as well."""
    right = ("C5 E5 G5 E5", "D5 F5 A5 F5", "E5 G5 C6 G5", "F5 E5 D5 B4") * 2
    lines = "".join(
        "        " + "".join(f"| {'C':<12}" for _ in range(4)) + "|\n"
        f"  right {''.join(f'| {bar:<12}' for bar in right[at : at + 4])}|\n"
        "  left  " + "".join(f"| {'C3 - - -':<12}" for _ in range(4)) + "|\n"
        for at in (0, 4)
    )
    pattern = "pattern plain\n  left  | x . |\n  right | . x |\n"
    head = f"title: Written\nkey: C major\ntempo: 100\n\n{pattern}"
    graph = song(f"{head}\n[A]\n{lines}")
    notes, time = [], 1.0
    for bar in graph.bars:
        beat = BEAT / 2 if bar.number == 3 else BEAT
        for strike in bar.strikes:
            notes += [(time + float(strike.beat) * beat, pitch) for pitch in strike.pitches]
        time += 4 * beat
    path = follow(graph, struck(sorted(notes)))
    assert numbers(graph, path) == list(range(1, 9))
    assert {one.entry for one in path.bars[1:]} == {"onward"}


@pytest.mark.parametrize(
    ("kind", "beats"),
    [("quarters", 3.0), ("half notes", 3.0), ("broken in eighths", 3.0), ("half notes", 5.0)],
)
@pytest.mark.parametrize("chart", ["quarry_road", "mill_wheel"])
def test_lines_that_end_a_beat_too_soon_or_too_late_are_followed(
    chart: str, kind: str, beats: float
) -> None:
    """Who counts the last bar of each line wrongly goes on in time; the bars of the next line do
    not lie a beat off. The chord that ends the one song goes on for three bars, which nobody can
    tell apart, and a line of the other begins with the chord that the one before ends with."""

    def miscounted(bars: Sequence[Bar]) -> list[Fault]:
        return [Miscounted(at, beats) for at, bar in enumerate(bars) if at and bar.place == 0]

    take = by_hand(Script("miscounts the lines", chart, kind=kind, slips=miscounted))
    path = path_of(take)
    starts = [bar.start for bar in path.bars]
    lost = [min(abs(bar.start - one) for one in starts) > 0.15 for bar in take.truth.bars]
    assert sum(lost) <= 0.15 * len(lost)
