"""Were the written notes played? Exact notes are exact, an octave may only double; common
practice of lessons, no source."""

import math
from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from evaluator.judge.verdict import SpanVerdict
from evaluator.judge.written import MISSING
from tests.judge.truth_path import judged
from tests.playing import Added, Note, WrongNote, play

CHART = """title: Thimble Song
key: C major
tempo: 96

pattern plain
  left  | x . x . |
  right | . x . x |

[A]
        | C               | F        | G7                | C   |
  right | E4 G4 A4,G4 E4  | F4+A4 -  | F4 D4 B3 D4       | C4  |
  left  | C3+G3 - C3 -    | F2 - F3 -| G2 B2 G3 F3       | C3  |
[B]
        | C               | G7       |
  right | E4 G4 E4 G4     | D4 F4    |
[C]
| C | G7 |
"""


@pytest.fixture(scope="module")
def graph() -> BarGraph:
    return read_chart(CHART)


def take(graph: BarGraph, *faults) -> Judgement:
    return judged(graph, play(graph, faults=faults))


def chord(judgement: Judgement, bar: int) -> SpanVerdict:
    return judgement.bars[bar - 1].chord.spans[0]


def bass(judgement: Judgement, bar: int) -> SpanVerdict:
    return judgement.bars[bar - 1].bass.spans[0]


def changed(graph: BarGraph, change) -> Judgement:
    """The verdict on a perfect take whose notes went through `change`."""
    performance = play(graph)
    notes = tuple(new for note in performance.notes for new in change(note))
    return judged(graph, replace(performance, notes=notes))


def doubled(note: Note, step: int) -> tuple[Note, ...]:
    return (note, replace(note, pitch=note.pitch + step))


def test_the_notes_as_written_are_right(graph):
    judgement = take(graph)
    assert {bar.chord.word for bar in judgement.bars} == {"right"}
    assert {bar.bass.word for bar in judgement.bars} == {"right"}
    assert judgement.marks.overall == 100.0


def test_another_note_is_wrong_and_both_are_named_with_their_octaves(graph):
    found = chord(take(graph, WrongNote(1, 1, 67, 65)), 1)
    assert (found.word, found.expected, found.played) == ("wrong", "G4", "F4")
    assert found.score == pytest.approx(4 / 5)


def test_a_passing_note_that_is_written_is_not_foreign_to_the_chord(graph):
    assert chord(take(graph), 1).word == "right"  # the A of A4,G4 over C


def test_a_chord_tone_that_is_not_written_is_wrong(graph):
    assert chord(take(graph, WrongNote(1, 1, 67, 64)), 1).word == "wrong"


def test_another_octave_instead_is_not_the_note(graph):
    found = chord(take(graph, WrongNote(1, 1, 67, 79)), 1)
    assert (found.word, found.expected, found.played) == ("wrong", "G4", "G5")
    assert found.score == pytest.approx(4.5 / 5)


def test_another_octave_besides_is_allowed(graph):
    judgement = changed(graph, lambda n: doubled(n, 12) if n.hand == "right" else (n,))
    assert {bar.chord.word for bar in judgement.bars[:4]} == {"right"}
    judgement = changed(graph, lambda n: doubled(n, -12) if n.hand == "left" else (n,))
    assert {bar.bass.word for bar in judgement.bars[:4]} == {"right"}


def test_a_note_too_many_is_wrong_but_less(graph):
    performance = play(graph)
    true = performance.truth.bars[3]
    extra = Note(true.start, true.start + 1, 62, 66, "right")
    found = chord(judged(graph, replace(performance, notes=(*performance.notes, extra))), 4)
    assert (found.word, found.expected, found.played, found.score) == ("wrong", "C4", "D4", 0.5)


def test_a_chord_without_one_of_its_notes_is_incomplete(graph):
    found = chord(take(graph, WrongNote(2, 0, 69, None)), 2)
    assert (found.word, found.expected, found.played) == ("incomplete", "F4 and A4", "F4")
    assert found.score == 1 - MISSING / 2


def test_the_left_hands_notes_are_judged_as_the_bass(graph):
    judgement = take(graph, WrongNote(3, 2, 55, 52))
    found = bass(judgement, 3)
    assert (found.word, found.expected, found.played) == ("wrong", "G3", "E3")
    assert chord(judgement, 3).word == "right"


def test_a_left_hand_chord_without_one_of_its_notes_is_incomplete_and_no_wrong_bass(graph):
    found = bass(take(graph, WrongNote(1, 0, 48, None)), 1)
    assert (found.word, found.expected, found.played) == ("incomplete", "C3 and G3", "G3")
    assert found.score == pytest.approx(1 - MISSING / 2 / 2)  # the one of two strikes


def test_a_missing_note_weighs_less_than_a_wrong_one(graph):
    missing = chord(take(graph, WrongNote(2, 0, 65, None)), 2)
    wrong = chord(take(graph, WrongNote(2, 0, 65, 66)), 2)
    assert wrong.score < missing.score < 1.0


def test_the_worst_of_a_bars_strikes_tells_most(graph):
    found = bass(take(graph, WrongNote(3, 2, 55, 52)), 3)
    strikes = 1 / (1 - found.score)  # of which one was wrong
    assert strikes > 1
    assert found.loss == pytest.approx(math.sqrt(1 / strikes))


def test_a_wrong_note_put_right_at_once_costs_half(graph):
    def stumble(note: Note) -> tuple[Note, ...]:
        bar = play(graph).truth.bars[3]
        if note.hand == "right" and abs(note.onset - bar.start) < 0.01:
            wrong = replace(note, pitch=62, offset=note.onset + 0.2)
            return wrong, replace(note, onset=note.onset + 0.3)
        return (note,)

    found = chord(changed(graph, stumble), 4)
    assert (found.word, found.score) == ("wrong", 0.5)


def test_a_brushed_neighbour_is_a_slip(graph):
    performance = play(graph)
    start = performance.truth.bars[3].start
    brush = Note(start, start + 0.05, 61, 20, "right")
    found = chord(judged(graph, replace(performance, notes=(*performance.notes, brush))), 4)
    assert (found.word, found.slips, found.score) == ("right", ("C#4",), pytest.approx(0.95))


def test_among_staccato_notes_too_a_neighbour_may_be_brushed(graph):
    """Let go within 60 ms it was only touched, however short and soft the others are; held, it is
    a note of its own. Common practice, no source."""
    for seconds, word in ((0.04, "right"), (0.3, "wrong")):
        performance = play(graph)
        start = performance.truth.bars[3].start
        notes = [
            replace(note, offset=note.onset + 0.05)
            if note.hand == "right" and abs(note.onset - start) < 0.01
            else note
            for note in performance.notes
        ]
        beside = Note(start, start + seconds, 61, 66, "right")
        take = replace(performance, notes=tuple(sorted((*notes, beside), key=lambda n: n.onset)))
        assert chord(judged(graph, take), 4).word == word


def test_a_hand_that_does_not_play_is_not_played(graph):
    judgement = changed(graph, lambda n: (n,) if n.hand == "right" else ())
    assert {bar.bass.word for bar in judgement.bars[:4]} == {"not played"}


def test_a_hand_may_take_over_a_note_of_the_other(graph):
    written = read_chart(
        "title: T\ntempo: 96\n[A]\n| C |\n right | E4+G4 . C5 . |\n left | C4 . C3 . |\n"
    )
    performance = play(written)
    swapped = tuple(
        replace(n, hand="right" if n.pitch == 60 else n.hand) for n in performance.notes
    )
    verdict = judged(written, replace(performance, notes=swapped)).bars[0]
    assert (verdict.chord.word, verdict.bass.word) == ("right", "right")


def test_a_hand_without_written_notes_is_judged_by_the_chord(graph):
    def other_octave(note: Note) -> tuple[Note, ...]:
        return (replace(note, pitch=note.pitch - 12),) if note.hand == "left" else (note,)

    judgement = changed(graph, other_octave)
    assert [bar.bass.word for bar in judgement.bars[4:6]] == ["right", "right"]
    assert [bar.bass.word for bar in judgement.bars[:4]] == ["wrong"] * 4
    assert judgement.bars[5].chord.word == "right"


def test_bars_of_a_mixed_chart_without_notes_are_judged_by_their_pattern(graph):
    judgement = take(graph)
    assert [bar.chord.word for bar in judgement.bars[6:]] == ["right", "right"]


def test_an_added_strike_is_the_rhythms(graph):
    judgement = take(graph, Added(4, 2, "right"))
    assert chord(judgement, 4).word == "right"
    assert any(fault.kind == "added" for fault in judgement.bars[3].rhythm.faults)


def test_a_silent_bar_of_a_hand_is_not_judged():
    quiet = read_chart("title: T\ntempo: 96\n[A]\n| C |\n right | E4 G4 |\n left | . |\n")
    assert take(quiet).bars[0].bass.word == "not judged"
