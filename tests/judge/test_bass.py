"""Was the right note in the bass? Common practice, no source."""

from dataclasses import replace

import pytest

from evaluator.judge import Judgement
from tests.judge.songs import HEAD, VERSE, judged, song, take
from tests.playing import WrongBass, play


def without_left() -> Judgement:
    performance = play(song())
    right = tuple(note for note in performance.notes if note.hand == "right")
    return judged(song(), replace(performance, notes=right))


def test_plain_root_under_a_ruled_bass_is_named() -> None:
    found = take(WrongBass(2, "A")).bars[1].bass.spans[0]
    assert (found.expected, found.played, found.word) == ("C#", "A", "wrong")
    assert found.root_for_bass
    assert 0 < found.score < 1


def test_plain_root_under_a_slash_chord_is_named() -> None:
    found = take(WrongBass(10, "D")).bars[9].bass.spans[0]
    assert (found.expected, found.root_for_bass) == ("F#", True)


def test_another_bass_is_wrong_and_the_chord_above_it_stays_right() -> None:
    verdict = take(WrongBass(1, "E")).bars[0]
    found = verdict.bass.spans[0]
    assert (found.expected, found.played, found.word, found.score) == ("D", "E", "wrong", 0.0)
    assert not found.root_for_bass
    assert verdict.chord.word == "right"


def test_the_octave_is_free() -> None:
    assert take(octaves=1.0).marks["bass"] == 100.0


def test_the_bass_follows_the_chord_within_the_bar() -> None:
    spans = take(WrongBass(7, "B", beat=2.0)).bars[6].bass.spans
    assert [(one.expected, one.word) for one in spans] == [("G", "right"), ("E", "wrong")]


def test_a_silent_left_hand_plays_no_bass() -> None:
    verdict = without_left()
    assert {bar.bass.word for bar in verdict.bars} == {"not played"}
    assert verdict.marks["bass"] == 0.0
    assert {fault.kind for bar in verdict.bars for fault in bar.rhythm.faults} == {"missed"}


def test_a_silent_left_hand_leaves_the_chord_to_the_right() -> None:
    assert without_left().bars[0].chord.word == "right"


def test_where_the_pattern_has_no_left_hand_no_bass_is_judged() -> None:
    graph = song(HEAD.replace("left  | x . . . x . . .", "left  | . . . . . . . .") + VERSE)
    verdict = take(graph=graph)
    words = {one.word for bar in verdict.bars for one in bar.bass.spans}
    assert "not judged" in words
    assert "wrong" not in words


@pytest.mark.parametrize("key", ["D major", "Db major"])
def test_the_bass_is_spelt_as_the_key_does(key: str) -> None:
    text = HEAD.replace("D major", key).replace("bass: A = C#\n", "") + "[V]\n| D | D | D | D |\n"
    found = take(WrongBass(2, "Bb"), graph=song(text)).bars[1].bass.spans[0]
    assert found.played == ("A#" if key == "D major" else "Bb")
