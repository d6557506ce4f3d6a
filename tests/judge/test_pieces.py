"""Which strikes are pieces of one? Common practice of rough hands, no source."""

from dataclasses import replace

import pytest

from evaluator.judge import Judgement, judge
from evaluator.take.strike import strikes
from tests.judge.songs import HEAD, judged, song, take
from tests.judge.truth_path import take_of, truth_path
from tests.playing import Missed, Note, Performance, Slip, play


def spread(performance: Performance, bar: int, hand: str, ms: float, *keys: int) -> Performance:
    """The take with these pitch classes of the hand's first strike in a bar moved by `ms`."""
    start = performance.truth.bars[bar - 1].start
    first = min(n.onset for n in performance.notes if n.onset > start - 0.1 and n.hand == hand)
    return replace(
        performance,
        notes=tuple(
            replace(note, onset=note.onset + ms / 1000)
            if note.hand == hand and abs(note.onset - first) < 0.02 and note.pitch % 12 in keys
            else note
            for note in performance.notes
        ),
    )


def with_note(performance: Performance, bar: int, at: float, note: Note) -> Judgement:
    """The verdict with one more note, `at` seconds from where the bar begins."""
    onset = performance.truth.bars[bar - 1].start + at
    more = replace(note, onset=onset, offset=onset + note.offset - note.onset)
    notes = sorted((*performance.notes, more), key=lambda one: (one.onset, one.pitch))
    return judged(song(STOMP), replace(performance, notes=tuple(notes)))


STOMP = HEAD.replace("right | . . x . . x x .", "right | x . . . x . . .") + (
    "[Verse]\n| D | G | Em7 | A |\n| D | G | Bm7 | D |\n"
)


def test_a_chord_whose_top_comes_late_is_one_strike() -> None:
    late_top = spread(play(song(STOMP)), 2, "right", 85, 2)
    found = judged(song(STOMP), late_top).bars[1]
    assert (found.rhythm.hits, found.rhythm.faults) == (4, ())
    assert found.chord.word == "right"


def test_a_slip_stays_a_slip_when_the_right_key_follows() -> None:
    # The finger sounds the neighbour with the chord and its own key a little after.
    performance = play(song(STOMP), faults=[Slip(2, 0.0)], seed=1)
    for tone in (2, 7, 11):
        found = judged(song(STOMP), spread(performance, 2, "right", 70, tone)).bars[1].chord
        assert (found.word, len(found.spans[0].slips)) == ("right", 1)


def test_the_bass_after_the_chord_is_the_bass_and_not_the_chords_thumb() -> None:
    late_bass = spread(play(song(STOMP)), 2, "left", 85, 7)
    found = judged(song(STOMP), late_bass).bars[1]
    assert found.bass.spans[0].played == "G"
    assert [(fault.kind, fault.hand) for fault in found.rhythm.faults] == [("late", "left")]


def test_a_grace_note_is_no_part_of_the_chord() -> None:
    grace = Note(0.0, 0.06, 77, 60, "right")
    found = with_note(play(song(STOMP)), 2, -0.08, grace).bars[1]
    assert found.chord.word == "right"
    assert found.rhythm.faults == ()


@pytest.mark.parametrize("ms", [90, 150])
def test_what_comes_late_of_the_last_chord_is_not_noodling(ms: float) -> None:
    performance = spread(play(song(STOMP), faults=[Missed(8, 2.0, "right")]), 8, "right", ms, 6)
    take = take_of(performance)
    struck = strikes(take)
    path = truth_path(song(STOMP), performance, struck)
    third = struck[path.bars[-1].strikes[1].strike]
    assert {pitch % 12 for pitch in third.pitches} == {6}
    bars = (*path.bars[:-1], replace(path.bars[-1], strikes=path.bars[-1].strikes[:1]))
    left_out = tuple(placed.strike for placed in path.bars[-1].strikes[1:2])
    path = replace(path, bars=bars, after=left_out)
    assert judge(song(STOMP), take, struck, path).bars[-1].chord.word == "right"


def test_rough_hands_play_right_chords() -> None:
    verdict = take(graph=song(STOMP), jitter_ms=30, spread_ms=25, rolled=0.2, seed=5)
    assert {bar.chord.word for bar in verdict.bars} == {"right"}
    assert {bar.bass.word for bar in verdict.bars} == {"right"}
