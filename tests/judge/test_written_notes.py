"""Is each written note told by its pitch and its order before its time?

What musicians do in time with written music, and what they are not to be blamed for:
common practice, no source.
"""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from tests.judge.truth_path import judged
from tests.playing import Note, Pause, Performance, WrongNote, play

SONG = """title: Bramble Run
key: C major
tempo: 72

[A]
        | C                           | F           | G7          | C   |
  right | C5,D5,E5,F5 G5 E5 C5        | A5 F5 C5 F5 | B4 D5 G5 F5 | E5  |
  left  | C3 G3 E3 G3                 | F3 A3 C4 A3 | G3 B3 D4 B3 | C3  |
[B]
        | C                           | F           | G7          | C   |
  right | C5,E5,G5,C6 G5 E5 C5        | A5 F5 C5 F5 | D5 G4 B4 D5 | C5  |
  left  | C3 G3 E3 G3                 | F3 A3 C4 A3 | G3 F3 D3 G2 | C3  |
"""


@pytest.fixture(scope="module")
def graph() -> BarGraph:
    return read_chart(SONG)


def moved(performance: Performance, when) -> Performance:
    """The same notes at other times; `when` maps onset to onset."""
    notes = tuple(
        replace(note, onset=when(note.onset), offset=when(note.offset))
        for note in performance.notes
    )
    return replace(performance, notes=notes)


def findings(judgement: Judgement) -> list[tuple[int, str]]:
    found = []
    for place, bar in enumerate(judgement.bars, 1):
        found += [(place, part.word) for part in (bar.chord, bar.bass) if part.word != "right"]
        found += [(place, fault.kind) for fault in bar.rhythm.faults]
    return found


def test_rubato_within_a_bar_is_no_fault(graph):
    performance = play(graph)
    bar = performance.truth.bars[1]

    def bent(time: float) -> float:
        # The first half of the bar takes 15 % longer, the second so much less.
        where = (time - bar.start) / (bar.end - bar.start)
        if not 0 <= where <= 1:
            return time
        late = 0.15 * (where if where < 0.5 else 1 - where)
        return time + late * (bar.end - bar.start)

    assert findings(judged(graph, moved(performance, bent))) == []


def test_a_breath_before_a_phrase_is_no_late_strike(graph):
    performance = play(graph)
    line = performance.truth.bars[4].start - 0.05
    take = moved(performance, lambda time: time + 0.35 if time > line else time)
    assert findings(judged(graph, take)) == []


def test_notes_of_a_run_that_come_as_fast_as_fingers_of_a_chord_are_told_apart():
    graph = read_chart(
        "title: Quick\ntempo: 150\n\n[A]\n"
        "        | C                              | C           |\n"
        "  right | C5,D5,E5,F5,G5,F5,E5,D5 C5 . . | E5 D5 C5 D5 |\n"
        "  left  | C3 G3 C3 G3                    | C3 G3 C3 G3 |\n"
    )  # 50 ms a note
    assert findings(judged(graph, play(graph))) == []


def test_one_key_that_both_hands_have_is_struck_once():
    graph = read_chart(
        "title: One Key\ntempo: 80\n\n[A]\n"
        "        | C           | G          |\n"
        "  right | C4 E4 G4 E4 | D4 B4 G4 D4 |\n"
        "  left  | C4 G3 E3 G3 | G3 D4 G3 D4 |\n"
    )
    performance = play(graph)
    assert len(performance.notes) == 14  # of sixteen: the player strikes a key once
    assert findings(judged(graph, performance)) == []


def test_hands_that_cross_keep_their_notes():
    graph = read_chart(
        "title: Crossing\ntempo: 80\n\n[A]\n"
        "        | C           | G           | C  |\n"
        "  right | C4 E4 C4 E4 | B3 D4 B3 D4 | C4 |\n"
        "  left  | C3 G4 C3 G4 | G2 B4 G2 G4 | C3 |\n"
    )
    assert findings(judged(graph, play(graph))) == []
    wrong = judged(graph, play(graph, faults=[WrongNote(1, 1, 67, 65)]))
    assert wrong.bars[0].chord.word == "right"
    assert [(s.expected, s.played) for s in wrong.bars[0].bass.spans] == [("G4", "F4")]


def test_a_straight_pair_where_a_dotted_one_is_written_is_early_or_late():
    graph = read_chart(
        "title: Dotted\ntempo: 72\n\n[A]\n"
        "        | C                           | C                           |\n"
        "  right | C5,-,-,D5 E5 F5,-,-,G5 E5   | E5 D5 C5 D5                 |\n"
        "  left  | C3 G3 C3 G3                 | C3 G3 C3 G3                 |\n"
    )
    performance = play(graph)
    start, beat = performance.truth.bars[0].start, 60 / 72

    def straight(note: Note) -> Note:
        for at in (0.75, 2.75):
            if abs(note.onset - start - at * beat) < 0.01:
                return replace(note, onset=note.onset - 0.25 * beat)
        return note

    found = judged(graph, replace(performance, notes=tuple(map(straight, performance.notes))))
    assert [(fault.kind, fault.beat) for fault in found.bars[0].rhythm.faults] == [
        ("early", 0.75),
        ("early", 2.75),
    ]
    assert not found.bars[1].rhythm.faults


def test_a_note_left_out_of_several_of_its_pitch_is_the_one_that_is_missing(graph):
    judgement = judged(graph, play(graph, faults=[WrongNote(2, 3, 77, None)]))
    assert findings(judgement) == [(2, "missed")]
    assert judgement.bars[1].rhythm.faults[0].beat == 3.0


def halted(graph: BarGraph, bar: int) -> list[str]:
    take = play(graph, faults=[Pause(bar, 0.0, 1.4)])
    return [finding.kind for finding in judged(graph, take).form]


def test_a_breath_between_the_parts_of_a_piece_or_before_its_end_is_no_halt(graph):
    assert halted(graph, 3) == ["break"]
    assert halted(graph, 5) == []
    assert halted(graph, 8) == []


def test_a_long_halt_between_two_parts_is_one(graph):
    take = play(graph, faults=[Pause(5, 0.0, 3.0)])
    assert [finding.kind for finding in judged(graph, take).form] == ["break"]
