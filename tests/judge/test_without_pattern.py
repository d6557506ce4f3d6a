"""Chord and bass in a chart that has no pattern, where anything may be played over the harmony.

Common practice of accompaniment by ear, no source.
"""

from dataclasses import replace

import pytest

from evaluator.chart.graph import Hand
from evaluator.judge import Judgement
from evaluator.judge.verdict import SpanVerdict
from tests.judge.songs import judged, song, take
from tests.playing import Note, PedalMove, Performance, WrongBass, WrongChord, play

PLAIN = "title: Plain\nkey: C major\ntempo: 60\n[A]\n| C | F/A | G7 | N.C. |\n| C | F | G7 | C |\n"
"""A beat lasts a second: bar 1 begins at 1 s, bar 2 at 5 s, bar 3 at 9 s."""


def heard(performance: Performance) -> Judgement:
    return judged(song(PLAIN), performance)


def without(performance: Performance, hand: Hand, *bars: int) -> Performance:
    """The take without what one hand plays in these bars, in all if none is given."""
    within = [(bar.start, bar.end) for bar in performance.truth.bars]
    chosen = [within[bar - 1] for bar in bars] or [(0.0, performance.truth.bars[-1].end)]
    kept = tuple(
        note
        for note in performance.notes
        if note.hand != hand or not any(a - 0.01 < note.onset < b - 0.01 for a, b in chosen)
    )
    return replace(performance, notes=kept)


def bass(verdict: Judgement, bar: int) -> SpanVerdict:
    return verdict.bars[bar - 1].bass.spans[0]


def chord(verdict: Judgement, bar: int) -> SpanVerdict:
    return verdict.bars[bar - 1].chord.spans[0]


def key(pitch: int, at: float, held: float, hand: Hand = "left") -> Note:
    return Note(at, at + held, pitch, 60, hand)


def test_a_plain_take_is_right_and_has_no_rhythm_to_judge() -> None:
    verdict = heard(play(song(PLAIN)))
    assert {bar.chord.word for bar in verdict.bars} == {"right", "not judged"}
    assert [bar.bass.word for bar in verdict.bars].count("not judged") == 1
    marks = verdict.marks
    assert (marks["chord"], marks["bass"], marks["rhythm"]) == (100.0, 100.0, None)


def test_nothing_is_expected_at_no_chord_and_it_is_called_so() -> None:
    verdict = heard(play(song(PLAIN)))
    for found in (bass(verdict, 4), chord(verdict, 4)):
        assert (found.expected, found.played, found.word) == ("N.C.", "", "not judged")


def test_the_wrong_bass_of_a_bar_is_wrong_and_the_plain_root_half() -> None:
    verdict = take(WrongBass(2, "F"), WrongBass(3, "A"), graph=song(PLAIN))
    root, other = bass(verdict, 2), bass(verdict, 3)
    assert (root.expected, root.played, root.word, root.score) == ("A", "F", "wrong", 0.5)
    assert root.root_for_bass
    assert (other.expected, other.played, other.word, other.score) == ("G", "A", "wrong", 0.0)
    assert not other.root_for_bass


def test_a_left_hand_that_rests_in_a_bar_is_not_judged_there() -> None:
    verdict = heard(without(play(song(PLAIN)), "left", 3))
    found = bass(verdict, 3)
    assert (found.expected, found.played, found.word) == ("G", "", "not judged")
    assert found.beat == 0.0
    assert verdict.marks["bass"] == 100.0


def test_a_left_hand_that_is_never_heard_plays_no_bass() -> None:
    verdict = heard(without(play(song(PLAIN)), "left"))
    found = bass(verdict, 2)
    assert (found.beat, found.expected, found.played) == (0.0, "A", "")
    assert (found.word, found.score) == ("not played", 0.0)
    assert verdict.marks["bass"] == 0.0


def test_a_bass_that_is_the_lowest_of_its_span_may_come_after_another_note() -> None:
    performance = play(song(PLAIN))
    walk = (key(48, 9.0, 0.4), key(43, 10.0, 2.0))
    others = without(performance, "left", 3).notes
    found = bass(heard(replace(performance, notes=(*others, *walk))), 3)
    assert (found.played, found.word, found.score) == ("G", "right", 1.0)


def test_a_lowest_note_that_is_not_the_bass_leaves_the_first_one_to_speak() -> None:
    performance = play(song(PLAIN))
    others = without(performance, "left", 3).notes
    first_right = (key(43, 9.0, 0.9), key(41, 10.0, 0.9))
    found = bass(heard(replace(performance, notes=(*others, *first_right))), 3)
    assert (found.played, found.word, found.score) == ("G", "right", 1.0)
    put_right = (key(45, 9.0, 0.4), key(43, 10.0, 0.9), key(41, 11.0, 0.5))
    found = bass(heard(replace(performance, notes=(*others, *put_right))), 3)
    assert (found.played, found.word, found.score) == ("A", "put right", 0.5)


@pytest.mark.parametrize("bar", [1, 3])
def test_a_bar_of_silence_has_no_chord_and_no_bass(bar: int) -> None:
    quiet = without(without(play(song(PLAIN)), "left", bar), "right", bar)
    held_over = tuple(
        replace(note, offset=min(note.offset, note.onset + 0.5)) for note in quiet.notes
    )
    verdict = heard(replace(quiet, notes=held_over))
    found = chord(verdict, bar)
    assert (found.played, found.word, found.score) == ("", "not played", 0.0)
    assert bass(verdict, bar).word == "not judged"


def test_a_chord_that_is_held_over_need_not_be_struck_again() -> None:
    text = "title: Held\nkey: C major\ntempo: 60\n[A]\n| C | C | F | C |\n"
    performance = play(song(text))
    end = performance.truth.bars[1].end
    held = tuple(
        replace(note, offset=end) if note.onset < 1.5 else note
        for note in performance.notes
        if not 1.5 < note.onset < end - 0.01
    )
    verdict = judged(song(text), replace(performance, notes=held))
    assert [bar.chord.word for bar in verdict.bars] == ["right"] * 4


def test_the_pedal_holds_a_chord_as_the_fingers_do() -> None:
    text = "title: Held\nkey: C major\ntempo: 60\n[A]\n| C | C | F | C |\n"
    performance = play(song(text))
    end = performance.truth.bars[1].end
    short = tuple(
        replace(note, offset=min(note.offset, note.onset + 0.5))
        for note in performance.notes
        if not 1.5 < note.onset < end - 0.01
    )
    quiet = replace(performance, notes=short, pedal=())
    assert judged(song(text), quiet).bars[1].chord.word == "not played"
    pedal = (PedalMove(1.2, 127), PedalMove(end - 0.1, 0))
    assert judged(song(text), replace(quiet, pedal=pedal)).bars[1].chord.word == "right"


def test_another_chord_scores_by_what_of_it_fits() -> None:
    verdict = take(WrongChord(1, "F#"), WrongChord(3, "F"), graph=song(PLAIN))
    far, near = chord(verdict, 1), chord(verdict, 3)
    assert [(far.played, far.word), (near.played, near.word)] == [("F#", "wrong"), ("F", "wrong")]
    assert far.score == 0.0
    # F has one tone of G7 and two beside it.
    assert near.score == pytest.approx(1 / 3, abs=0.01)


def test_what_lasts_longest_tells_and_not_what_is_struck_oftenest() -> None:
    performance = play(song(PLAIN))
    short = tuple(key(70, 1.1 + place / 4, 0.05, "right") for place in range(12))
    assert chord(heard(replace(performance, notes=performance.notes + short)), 1).word == "right"


def test_a_chord_needs_its_root_and_its_third_and_not_its_fifth() -> None:
    performance = play(song(PLAIN))
    for missing, word in ((0, "incomplete"), (4, "incomplete"), (7, "right")):
        kept = tuple(
            note
            for note in performance.notes
            if not (note.onset < 4.9 and note.pitch % 12 == missing)
        )
        assert chord(heard(replace(performance, notes=kept)), 1).word == word, missing
