"""What a verdict says beside its word: where, what was wanted, what was played, what was
brushed. Common practice, no source."""

from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.judge import Judgement
from evaluator.judge.verdict import SpanVerdict
from evaluator.judge.written import MISSING
from tests.judge.songs import HEAD, VERSE, judged, order, song, take
from tests.playing import Lacking, Missed, Note, Performance, Restart, WrongBass, WrongChord, play

WRITTEN = """title: Thimble Song
key: Eb major
tempo: 60
[A]
        | Eb / F7 /   | Bb            |
  right | G4 - A4+C5 - | D4+F4+Bb4 - - - |
  left  | Eb3 - F2 - | Bb2 - F3 -    |
"""
"""A beat lasts a second; the first bar begins at 1 s and has two chords."""


def written() -> BarGraph:
    return read_chart(WRITTEN)


def with_keys(keys: dict[int, int], *more: Note) -> Judgement:
    """The verdict on the written notes with other keys in place of some, and more notes."""
    performance = play(written())
    notes = tuple(
        replace(note, pitch=keys.get(note.pitch, note.pitch))
        for note in performance.notes
        if keys.get(note.pitch) != 0
    )
    every = tuple(sorted((*notes, *more), key=lambda note: (note.onset, note.pitch)))
    return judged(written(), replace(performance, notes=every))


def said(one: SpanVerdict) -> tuple[float, str, str, str]:
    return one.beat, one.expected, one.played, one.word


def test_written_notes_that_are_right_are_called_by_their_chord_and_bass() -> None:
    first = with_keys({}).bars[0]
    assert [said(one) for one in first.chord.spans] == [
        (0.0, "Eb", "Eb", "right"),
        (2.0, "F7", "F7", "right"),
    ]
    assert [said(one) for one in first.bass.spans] == [
        (0.0, "Eb", "Eb", "right"),
        (2.0, "F", "F", "right"),
    ]


def test_a_wrong_written_note_is_named_with_what_was_wanted_at_its_beat() -> None:
    second = with_keys({69: 68}).bars[0].chord.spans[1]
    assert said(second) == (2.0, "A4", "Ab4", "wrong")
    assert second.score == 0.25


def test_a_written_chord_without_a_note_is_incomplete_by_its_share() -> None:
    found = with_keys({70: 0}).bars[1].chord.spans[0]
    assert said(found) == (0.0, "D4, F4 and Bb4", "D4 and F4", "incomplete")
    assert found.score == pytest.approx(1 - MISSING / 3)


def test_a_written_hand_that_is_silent_is_not_played() -> None:
    found = with_keys({62: 0, 65: 0, 70: 0}).bars[1].chord.spans[0]
    assert (*said(found), found.score) == (0.0, "Bb", "", "not played", 0.0)


@pytest.mark.parametrize(
    ("velocity", "held", "word"),
    [(30, 1.8, "right"), (66, 0.08, "right"), (66, 1.8, "wrong"), (60, 0.2, "wrong")],
)
def test_a_neighbour_of_a_written_key_is_brushed_if_soft_or_short(
    velocity: int, held: float, word: str
) -> None:
    found = with_keys({}, Note(5.0, 5.0 + held, 71, velocity, "right")).bars[1].chord.spans[0]
    assert found.word == word
    assert found.slips == (("B4",) if word == "right" else ())
    assert found.score == pytest.approx(0.95 if word == "right" else 0.5)


def test_a_soft_key_far_from_the_written_ones_is_not_brushed() -> None:
    found = with_keys({}, Note(5.0, 6.8, 73, 30, "right")).bars[1].chord.spans[0]
    assert (found.word, found.score) == ("wrong", 0.5)


def test_a_brushed_key_is_told_beside_an_incomplete_chord() -> None:
    found = with_keys({70: 0}, Note(5.0, 6.8, 63, 30, "right")).bars[1].chord.spans[0]
    assert (found.word, found.slips) == ("incomplete", ("Eb4",))


def with_right_hand(bar: int, *keys: int, velocity: int = 66) -> Performance:
    """The usual song with these keys at every strike of the right hand in a bar."""
    performance = play(song(HEAD + VERSE))
    true = performance.truth.bars[bar - 1]
    inside = [n for n in performance.notes if true.start < n.onset < true.end and n.hand == "right"]
    others = [note for note in performance.notes if note not in inside]
    times = sorted({note.onset for note in inside})
    more = [Note(at, at + 0.3, key, velocity, "right") for at in times for key in keys]
    notes = sorted((*others, *more), key=lambda note: (note.onset, note.pitch))
    return replace(performance, notes=tuple(notes))


def chord(performance: Performance, bar: int = 1) -> SpanVerdict:
    return judged(song(HEAD + VERSE), performance).bars[bar - 1].chord.spans[0]


@pytest.mark.parametrize(
    ("keys", "played", "score"),
    [
        ((62, 66, 69, 67), "D", 0.5),  # all of D, and a G in it
        ((62, 65, 69), "Dm", 0.25),  # one tone beside its place
        ((65, 69, 72), "F", 0.0),
    ],
)
def test_a_wrong_chord_scores_by_how_near_it_is(
    keys: tuple[int, ...], played: str, score: float
) -> None:
    found = chord(with_right_hand(1, *keys))
    assert (found.word, found.score) == ("wrong", score)
    assert found.played.startswith(played)


def test_a_tone_of_the_colour_is_not_missing_where_the_chord_is_wrong() -> None:
    # Bar 5 allows Dsus2: D, E, A and a foreign G#, nothing of its own missing.
    found = chord(with_right_hand(5, 62, 64, 69, 68), 5)
    assert (found.word, found.score) == ("wrong", 0.5)


def test_an_incomplete_chord_says_what_was_heard_and_scores_by_its_share() -> None:
    found = take(Lacking(1, "F#")).bars[0].chord.spans[0]
    assert (found.beat, found.expected, found.word) == (0.0, "D", "incomplete")
    assert found.played.startswith("D")
    assert found.score == pytest.approx(2 / 3)


def test_the_second_chord_of_a_bar_is_told_at_its_beat() -> None:
    found = take(WrongChord(7, "D", beat=2.0)).bars[6].chord.spans[1]
    assert said(found) == (2.0, "Em7", "D", "wrong")
    found = take(WrongBass(7, "B", beat=2.0)).bars[6].bass.spans[1]
    assert said(found) == (2.0, "E", "B", "wrong")


def test_a_bar_broken_off_is_judged_as_far_as_it_was_played_and_names_the_rest() -> None:
    graph = song()
    bars = order(graph, *range(1, 8), *range(7, 28))
    found = take(Restart(7, 2.0, 2.0), graph=graph, bars=bars).bars[6]
    assert [said(one) for one in found.chord.spans] == [
        (0.0, "G", "G", "right"),
        (2.0, "Em7", "", "not judged"),
    ]
    assert said(found.bass.spans[1]) == (2.0, "E", "", "not judged")
    assert found.chord.score == 1.0


def test_at_no_chord_the_bass_is_called_so() -> None:
    graph = song(HEAD + "[A]\n| D | N.C. | A | D |\n")
    found = take(graph=graph).bars[1]
    assert [said(one) for one in (*found.chord.spans, *found.bass.spans)] == [
        (0.0, "N.C.", "", "not judged")
    ] * 2
    assert (found.chord.score, found.bass.score) == (None, None)


LATE = """title: Late Thimble
key: C major
tempo: 60
[A]
        | C / F /   | C   |
  right | . . A4 C5 | C5  |
  left  | C3 - F2 - | C3  |
"""


def test_a_written_hand_that_rests_under_the_first_chord_is_judged_under_the_second() -> None:
    graph = read_chart(LATE)
    spans = judged(graph, play(graph)).bars[0].chord.spans
    assert [said(one) for one in spans] == [(0.0, "C", "", "not judged"), (2.0, "F", "F", "right")]


def test_a_bass_that_was_not_struck_is_called_nothing() -> None:
    faults = (Missed(3, 0.0, "left"), Missed(3, 2.0, "left"))
    found = take(*faults).bars[2].bass.spans[0]
    assert (*said(found), found.score) == (0.0, "B", "", "not played", 0.0)


def test_a_brushed_key_is_told_beside_an_incomplete_chord_of_a_pattern() -> None:
    # D without its A, each time with a soft and short E beside the D.
    performance = with_right_hand(1, 62, 66)
    more = [
        Note(note.onset, note.onset + 0.05, 64, 30, "right")
        for note in performance.notes
        if note.hand == "right" and note.pitch == 62 and note.onset < 3.4
    ]
    notes = sorted((*performance.notes, *more), key=lambda note: (note.onset, note.pitch))
    found = chord(replace(performance, notes=tuple(notes)))
    assert (found.word, set(found.slips)) == ("incomplete", {"E"})


def test_a_hand_of_which_nothing_is_wanted_adds_what_it_plays() -> None:
    alone = song(HEAD.replace("left  | x . . . x . . .", "left  | . . . . . . . .") + VERSE)
    found = judged(alone, play(song(HEAD + VERSE))).bars[1]
    assert [(one.kind, one.beat, one.hand) for one in found.rhythm.faults] == [
        ("added", 0.0, "left"),
        ("added", 2.0, "left"),
    ]
    assert found.bass.word == "not judged"
    assert found.chord.word == "right"


@pytest.mark.parametrize(("strikes", "score"), [(1, 0.95), (2, 0.9), (3, 0.9)])
def test_brushed_keys_never_cost_more_than_two(strikes: int, score: float) -> None:
    performance = with_right_hand(1, 62, 66, 69)
    times = sorted({n.onset for n in performance.notes if n.hand == "right" and n.onset < 3.4})
    brushed = [Note(at, at + 0.05, 64, 30, "right") for at in times[:strikes]]
    notes = sorted((*performance.notes, *brushed), key=lambda note: (note.onset, note.pitch))
    one = chord(replace(performance, notes=tuple(notes)))
    assert (one.word, len(one.slips), one.score) == ("right", strikes, pytest.approx(score))
