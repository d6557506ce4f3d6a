"""Ornaments, fermatas and ritards of written notes: played in any usual way or left out.

Usual ways of playing ornaments are those of the tables of C. P. E. Bach (Versuch, 1753), from
memory; `tests/against/test_ornaments_music21.py` has those of music21.
"""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from evaluator.judge.form import judge_form
from evaluator.take.strike import strikes
from tests.judge.truth_path import judged, take_of, truth_path
from tests.playing import Note, Pause, Performance, play

HEAD = "title: Gilded Wren\nkey: C major\ntempo: 80\n\n[A]\n"
BEAT = 0.75


def song(right: str, left: str = "C3 G3 E3 G3") -> BarGraph:
    """Four bars, of which the second one has the row."""
    plain = "C5 D5 E5 D5"
    return read_chart(
        HEAD
        + "        | C | C | C | C |\n"
        + f"  right | {plain} | {right} | {plain} | {plain} |\n"
        + f"  left  | C3 G3 E3 G3 | {left} | C3 G3 E3 G3 | C3 G3 E3 G3 |\n"
    )


def ornamented(
    graph: BarGraph, *struck: tuple[float, int], without: tuple[float, int] | None = None
) -> Judgement:
    """The verdict on a take with these keys besides: beat of the middle bar, key."""
    performance = play(graph)
    start = performance.truth.bars[1].start
    notes = [
        note
        for note in performance.notes
        if without is None
        or abs(note.onset - start - without[0] * BEAT) > 0.01
        or note.pitch != without[1]
    ]
    for beat, key in struck:
        at = start + beat * BEAT
        notes.append(Note(at, at + 0.08, key, 60, "right"))
    notes.sort(key=lambda note: note.onset)
    return judged(graph, replace(performance, notes=tuple(notes)))


def findings(judgement: Judgement) -> list[str]:
    found = []
    for bar in judgement.bars:
        found += [part.word for part in (bar.chord, bar.bass) if part.word != "right"]
        found += [fault.kind for fault in bar.rhythm.faults]
    return found


GRACE = song("{D5}C5 E5 G5 E5")
TRILL = song("C5~tr E5 G5 E5")


@pytest.mark.parametrize(
    "struck",
    [
        pytest.param((), id="left out"),
        pytest.param(((-0.1, 74),), id="before the beat"),
        pytest.param(((0.0, 74),), id="together with the note"),
    ],
)
def test_a_grace_note_may_be_played_or_left_out(struck):
    assert findings(ornamented(GRACE, *struck)) == []


def test_a_long_grace_note_takes_its_time_from_the_note():
    struck = ((0.0, 74), (0.5, 72))
    assert findings(ornamented(GRACE, *struck, without=(0.0, 72))) == []


def test_another_grace_note_than_the_written_one_is_no_ornament():
    assert findings(ornamented(GRACE, (-0.15, 77))) != []


@pytest.mark.parametrize(
    "struck",
    [
        pytest.param(((0.15, 74), (0.3, 72), (0.45, 74), (0.6, 72)), id="from the note"),
        pytest.param(((-0.12, 74), (0.12, 74), (0.3, 72), (0.5, 71), (0.7, 72)), id="from above"),
    ],
)
def test_a_trill_may_be_played_in_any_way(struck):
    assert findings(ornamented(TRILL, *struck)) == []
    assert findings(ornamented(TRILL)) == []


def test_what_is_struck_far_from_the_trill_is_an_added_strike():
    assert "added" in findings(ornamented(TRILL, (2.5, 74)))


def test_the_note_under_a_trill_must_be_played():
    assert findings(ornamented(TRILL, without=(0.0, 72))) == ["missed"]


def rolled(graph: BarGraph, seconds: float) -> Performance:
    """The chord of the middle bar's first beat spread evenly over so many seconds."""
    performance = play(graph)
    start = performance.truth.bars[1].start
    chord = sorted(
        note.pitch
        for note in performance.notes
        if note.hand == "right" and abs(note.onset - start) < 0.01
    )
    notes = tuple(
        replace(note, onset=start + seconds * chord.index(note.pitch) / (len(chord) - 1))
        if note.hand == "right" and abs(note.onset - start) < 0.01
        else note
        for note in performance.notes
    )
    return replace(performance, notes=tuple(sorted(notes, key=lambda note: note.onset)))


def test_a_chord_with_the_sign_may_be_rolled_slowly():
    graph = song("C5+E5+G5+C6~roll E5 G5 E5")
    assert findings(judged(graph, rolled(graph, 0.36))) == []
    assert findings(judged(graph, play(graph))) == []


def test_a_fermata_excuses_the_time_behind_it():
    graph = song("C5 E5~hold G5 E5", "C3 - E3 G3")
    take = play(graph, faults=[Pause(2, 2.0, 1.5)])
    found = judged(graph, take)
    assert findings(found) == []
    assert [one.kind for one in found.form] == []
    without = song("C5 E5 G5 E5", "C3 - E3 G3")
    assert [one.kind for one in judged(without, play(without, faults=[Pause(2, 2.0, 1.5)])).form]


def test_what_is_held_at_a_fermata_may_be_heard_as_the_next_bar_begun():
    # The halt then seems to lie behind the first strike of the bar.
    for last, kinds in (("E5~hold", []), ("E5", ["break"])):
        rows = ["C5 D5 E5 D5", f"C5 D5 {last} -", *["C5 D5 E5 D5"] * 4]
        graph = read_chart(
            HEAD + "        " + "| C " * 6 + "|\n  right | " + " | ".join(rows) + " |\n"
            "  left  " + "| C3 G3 E3 - " * 6 + "|\n"
        )
        performance = play(graph)
        path = truth_path(graph, performance, strikes(take_of(performance)))
        waited = replace(path.bars[2], pause=3.0, pause_beat=0.5)
        held = replace(path, bars=(*path.bars[:2], waited, *path.bars[3:]))
        assert [finding.kind for finding in judge_form(graph, held)] == kinds


def test_a_ritard_excuses_time_up_to_the_end_of_the_section_or_the_old_tempo():
    graph = read_chart(
        HEAD
        + "        | C               | C                     | C           |\n"
        + "  right | C5 D5~rit E5 D5 | C5 D5 E5~tempo D5     | C5 D5 E5 D5 |\n"
    )
    waits = [[float(s.beat) for s in bar.strikes if s.waits] for bar in graph.bars]
    assert waits == [[1.0, 2.0, 3.0], [0.0, 1.0], []]
    again = read_chart(HEAD + "| C |\n  right | C5~rit D5 |\n[B]\n| C |\n  right | C5 D5 |\n")
    assert [[s.waits for s in bar.strikes] for bar in again.bars] == [[True, True], [False, False]]


def test_a_bar_behind_a_fermata_that_seems_begun_twice_was_begun_once():
    for last, kinds in (("E5~hold", []), ("E5", ["restart"])):
        graph = song(f"C5 D5 {last} -", "C3 G3 E3 -")
        performance = play(graph)
        struck = strikes(take_of(performance))
        path = truth_path(graph, performance, struck)
        third = path.bars[2]
        begun = replace(third, end=third.start + 0.4, beats_played=0.5, strikes=())
        again = replace(third, start=third.start + 0.4, entry="restart")
        twice = replace(path, bars=(*path.bars[:2], begun, again, *path.bars[3:]))
        assert [finding.kind for finding in judge_form(graph, twice)] == kinds
