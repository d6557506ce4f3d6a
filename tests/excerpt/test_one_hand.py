"""Takes of one hand. Common practice among teachers, no source."""

from dataclasses import replace

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import Hand
from evaluator.errors import UsageError
from evaluator.excerpt.one_hand import for_hand
from evaluator.grading import grade_fully, prepare
from evaluator.report.model import Report
from tests.bench.students import MANY, simulate
from tests.cli.commands import CHART
from tests.playing import Fault, WrongBass, WrongChord, play, to_midi


def one_hand(hand: Hand, *faults: Fault, semitones: int = 0) -> bytes:
    both = play(read_chart(CHART), faults=faults, jitter_ms=12.0).transposed(semitones)
    return to_midi(replace(both, notes=tuple(n for n in both.notes if n.hand == hand)))


def graded(midi: bytes, hand: Hand | None = None) -> Report:
    return grade_fully(prepare(CHART, hand=hand), midi).report


@pytest.mark.parametrize("hand", ["left", "right"])
def test_a_take_of_one_hand_is_recognised_and_judged_on_that_hand_only(hand: Hand) -> None:
    report = graded(one_hand(hand))
    assert report.take.hand == hand
    assert f"Only the {hand} hand was played" in report.remarks[0]
    assert report.marks.overall > 97
    assert report.practise == ()


def test_what_one_hand_does_wrong_is_found_all_the_same() -> None:
    left = graded(one_hand("left", WrongBass(2, "A")), "left")
    assert [f.say for b in left.bars for f in b.faults] == ["bass A instead of C#"]
    assert left.marks["chord"] is None
    right = graded(one_hand("right", WrongChord(3, "G")), "right")
    assert [f.kind for b in right.bars for f in b.faults] == ["chord"]
    assert right.marks["bass"] is None


def test_the_bass_line_alone_tells_the_transpose_button() -> None:
    report = graded(one_hand("left", semitones=3), "left")
    assert (report.take.transposed, report.take.hand) == (3, "left")
    assert report.marks["bass"] == 100.0


def test_the_one_that_was_asked_for_is_said_too() -> None:
    assert graded(one_hand("right"), "right").remarks == ("Only the right hand is judged.",)


@pytest.mark.parametrize("seed", range(5200, 5204))
def test_two_hands_are_never_taken_for_one(seed: int) -> None:
    student = simulate(seed, "rough", faults=MANY)
    assert grade_fully(prepare(student.chart_text), student.midi_bytes).report.take.hand is None


def test_a_chart_without_a_pattern_does_not_say_what_a_hand_plays() -> None:
    graph = read_chart("title: Plain\ntempo: 60\n[A]\n| C | F |\n")
    with pytest.raises(UsageError, match="does not say what each hand plays"):
        for_hand(graph, "left")


def test_a_hand_that_there_is_not_is_refused() -> None:
    with pytest.raises(UsageError, match="The hand is left or right, not `both`"):
        for_hand(read_chart(CHART), "both")  # type: ignore[arg-type]


def test_two_basses_tell_no_key() -> None:
    """One of them wrong, they agree better with another key, and would be right in that."""
    song = prepare(CHART, bars="5-6", hand="left")
    both = play(song.graph, faults=[WrongBass(2, "A")], jitter_ms=12.0)
    left = replace(both, notes=tuple(note for note in both.notes if note.hand == "left"))
    report = grade_fully(song, to_midi(left)).report
    assert report.take.transposed == 0
    assert [f.kind for bar in report.bars for f in bar.faults] == ["bass"]
