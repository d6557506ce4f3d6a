"""The chart as a MIDI file. mido reads it back; voicing is common practice, no source."""

import io
from itertools import pairwise
from pathlib import Path

import mido
import pytest

from evaluator.chart import read_chart
from evaluator.grading import grade_fully, prepare
from evaluator.practise.guide import Playing, guide
from evaluator.take.midi_file import read_take
from tests.bench.invent import invent

CHARTS = sorted((Path(__file__).parents[2] / "charts").glob("*.txt"))

SWUNG = """
title: Two and one
tempo: 120
meter: 3/4
feel: swing 2:1
pattern turn
  left  | x . . . . . |
  right | . . x x x . |
[A]
| C | 2/4: G7 | Am |
[B] tempo 60
| F / G |
"""


def file_of(text: str, playing: Playing | None = None) -> mido.MidiFile:
    graph = read_chart(text)
    return mido.MidiFile(file=io.BytesIO(guide(graph, graph.written, playing)))


def metas(file: mido.MidiFile, kind: str) -> list[tuple[int, mido.MetaMessage]]:
    at, found = 0, []
    for message in file.tracks[0]:
        at += message.time
        if message.type == kind:
            found.append((at, message))
    return found


@pytest.mark.parametrize("chart", CHARTS, ids=lambda path: path.stem)
def test_a_guide_of_every_demo_chart_is_graded_100(chart: Path) -> None:
    song = prepare(chart.read_text(encoding="utf-8"))
    report = grade_fully(song, guide(song.graph, song.graph.written)).report
    assert report.marks.overall == 100.0
    assert report.practise == ()


@pytest.mark.parametrize("seed", range(4100, 4104))
def test_a_guide_of_an_invented_chart_is_graded_100_with_or_without_a_click(seed: int) -> None:
    song = prepare(invent(seed))
    for click in (False, True):
        midi = guide(song.graph, song.graph.written, Playing(click=click))
        assert grade_fully(song, midi).report.marks.overall == 100.0


def test_the_take_begins_after_a_bar_of_count_in_on_the_drum_channel() -> None:
    file = file_of(SWUNG)
    drums = [m for m in file if m.type == "note_on" and m.channel == 9]
    assert [message.note for message in drums] == [76, 77, 77]
    graph = read_chart(SWUNG)
    assert read_take(guide(graph, graph.written)).onsets[0] == pytest.approx(1.5)


def test_tempo_and_meter_stand_where_they_change() -> None:
    file = file_of(SWUNG)
    bar, short = 3 * 480, 2 * 480
    meters = [(at, m.numerator, m.denominator) for at, m in metas(file, "time_signature")]
    assert meters == [(0, 3, 4), (2 * bar, 2, 4), (2 * bar + short, 3, 4)]
    tempos = [(at, m.tempo) for at, m in metas(file, "set_tempo")]
    assert tempos == [(0, 500_000), (3 * bar + short, 1_000_000)]


def test_sections_and_chords_are_marked() -> None:
    marks = [(at, m.text) for at, m in metas(file_of(SWUNG), "marker")]
    assert marks[:3] == [(1440, "[A]"), (1440, "C"), (2880, "G7")]
    assert [text for _, text in marks[-3:]] == ["[B]", "F", "G"]


def test_off_beats_swing_by_the_feel() -> None:
    onsets = read_take(guide(read_chart(SWUNG), (0,))).onsets
    right = sorted({round(float(time) - 1.5, 3) for time in onsets})
    # 2:1 puts the second eighth of beat 2 at two thirds of it, here 0.5 s a beat.
    assert right == [0.0, 0.5, pytest.approx(0.833, abs=0.002), 1.0]


def test_tempo_is_of_the_first_bar_and_the_others_keep_their_proportion() -> None:
    tempos = [m.tempo for _, m in metas(file_of(SWUNG, Playing(bpm=60)), "set_tempo")]
    assert tempos == [1_000_000, 2_000_000]


def test_one_hand_alone_and_several_times() -> None:
    graph = read_chart(SWUNG)
    both = read_take(guide(graph, graph.written))
    left = read_take(guide(graph, graph.written, Playing(hands=("left",), times=3)))
    assert set(left.pitches) < set(both.pitches)
    assert left.pitches.max() < 60
    per_time = int((both.pitches < 60).sum())
    assert len(left) == 3 * per_time


@pytest.mark.parametrize("chart", CHARTS, ids=lambda path: path.stem)
def test_hands_keep_to_their_places_and_small_movements(chart: Path) -> None:
    graph = read_chart(chart.read_text(encoding="utf-8"))
    take = read_take(guide(graph, graph.written))
    right = take.pitches[take.tracks == 1]
    left = take.pitches[take.tracks == 2]
    assert right.min() >= 60
    assert right.max() <= 79
    assert left.min() >= 36
    assert left.max() < 64
    chords: dict[float, list[int]] = {}
    for onset, pitch, track in zip(take.onsets, take.pitches, take.tracks, strict=True):
        if track == 1:
            chords.setdefault(round(float(onset), 3), []).append(int(pitch))
    whole = [keys for keys in chords.values() if len(keys) >= 3]
    for before, after in pairwise(whole):
        moved = [min(abs(key - other) for other in before) for key in after]
        assert max(moved) <= 4


def test_a_chart_without_a_pattern_has_chords_on_every_beat() -> None:
    graph = read_chart("title: Plain\ntempo: 60\n[A]\n| C | N.C. | <F> |\n")
    take = read_take(guide(graph, graph.written))
    onsets = sorted({round(float(time) - 4.0, 3) for time in take.onsets})
    assert onsets == [0.0, 1.0, 2.0, 3.0, 8.0]


def test_notes_that_are_written_out_are_held_as_long_as_they_are_written() -> None:
    text = (
        "title: Long\ntempo: 60\n[A]\n| C |\n  right | E5 . G5~short - |\n  left | C3,. D3 - - |\n"
    )
    graph = read_chart(text)
    take = read_take(guide(graph, graph.written))
    held = dict(zip(take.pitches.tolist(), (take.offsets - take.onsets).tolist(), strict=True))
    assert held == pytest.approx({76: 1.0, 79: 1.0, 48: 0.5, 50: 3.0}, abs=0.06)


def test_notes_that_are_written_out_are_played_on_their_keys() -> None:
    text = "title: Exact\ntempo: 60\n[A]\n| C |\n  right | E5 . C6+G5 . |\n  left | C2 |\n"
    graph = read_chart(text)
    take = read_take(guide(graph, graph.written))
    assert take.pitches.tolist() == [36, 76, 79, 84]
    assert take.onsets.tolist() == pytest.approx([4.0, 4.0, 6.0, 6.0])
