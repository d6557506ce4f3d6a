"""What rings on from before, and what the left hand adds to a chord. Common practice of
accompaniment, no source."""

from dataclasses import replace

import pytest

from evaluator.judge.verdict import SpanVerdict
from tests.judge.songs import HEAD, judged, song, take
from tests.playing import Note, Performance, play

ARPEGGIO = HEAD.replace("bass: A = C#\n", "").replace(
    "right | . . x . . x x .", "right | 1 3 5 . . . . ."
) + ("[A]\n| D | D | G | D |\n")
LEFT_ALONE = HEAD.replace("bass: A = C#\n", "").replace(
    "right | . . x . . x x .", "right | . . . . . . . ."
) + ("[A]\n| D | A | G | D |\n")


def held_over(seconds: float) -> SpanVerdict:
    """Bar 2 without its A, the one of bar 1 held so far into it."""
    performance = play(song(ARPEGGIO))
    first, second = performance.truth.bars[:2]
    notes = []
    for note in performance.notes:
        fifth = note.pitch % 12 == 9 and note.hand == "right"
        if fifth and second.start < note.onset < second.end:
            continue
        if fifth and first.start < note.onset < first.end:
            note = replace(note, offset=second.start + seconds)
        notes.append(note)
    found = judged(song(ARPEGGIO), replace(performance, notes=tuple(notes)))
    return found.bars[1].chord.spans[0]


@pytest.mark.parametrize(("seconds", "word"), [(0.05, "incomplete"), (0.2, "right")])
def test_a_tone_that_is_held_well_into_the_bar_completes_its_chord(
    seconds: float, word: str
) -> None:
    assert held_over(seconds).word == word


def test_the_very_first_note_may_ring_on_as_well() -> None:
    performance = play(song(ARPEGGIO))
    first, second = performance.truth.bars[:2]
    # The root alone of bar 1, held; bar 2 has the other tones, and no left hand.
    notes = tuple(
        replace(note, offset=second.end) if note.onset < first.start + 0.1 else note
        for note in performance.notes
        if not (second.start - 0.1 < note.onset < second.end - 0.1 and note.pitch % 12 == 2)
    )
    low = min(note.onset for note in notes)
    notes = tuple(note for note in notes if note.onset > low or note.hand == "right")
    found = judged(song(ARPEGGIO), replace(performance, notes=notes))
    assert found.bars[1].chord.word == "right"


def test_where_the_right_hand_rests_the_chord_is_not_judged_and_still_named() -> None:
    found = take(graph=song(LEFT_ALONE)).bars[1].chord.spans[0]
    assert (found.beat, found.expected, found.played) == (0.0, "A", "")
    assert found.word == "not judged"


def with_left(pitches: tuple[int, ...]) -> Performance:
    """The usual song, with more keys under each strike of the left hand in bar 1."""
    graph = song(HEAD.replace("bass: A = C#\n", "") + "[A]\n| D | G | Em7 | D |\n")
    performance = play(graph)
    end = performance.truth.bars[0].end - 0.1
    more = tuple(
        Note(note.onset, note.offset, pitch, note.velocity, "left")
        for note in performance.notes
        if note.hand == "left" and note.onset < end
        for pitch in pitches
    )
    notes = sorted((*performance.notes, *more), key=lambda note: (note.onset, note.pitch))
    return replace(performance, notes=tuple(notes))


@pytest.mark.parametrize(
    ("tone", "word"),
    [(9, "right"), (2, "right"), (8, "wrong")],
    ids=["the fifth", "the octave", "a foreign tone"],
)
def test_what_the_left_hand_strikes_above_its_bass_is_part_of_the_chord(
    tone: int, word: str
) -> None:
    graph = song(HEAD.replace("bass: A = C#\n", "") + "[A]\n| D | G | Em7 | D |\n")
    bass = next(note.pitch for note in play(graph).notes if note.hand == "left")
    above = bass + ((tone - bass) % 12 or 12)
    found = judged(graph, with_left((above,))).bars[0]
    assert found.chord.word == word
    assert found.bass.word == "right"


def test_what_lies_in_no_place_of_the_pattern_is_heard_all_the_same() -> None:
    # A long wrong bass between the strikes, which the chart does not want, is added.
    graph = song(HEAD.replace("bass: A = C#\n", "") + "[A]\n| D | G | Em7 | D |\n")
    performance = play(graph)
    odd = Note(1.0 + 1.0 * 0.625, 1.0 + 2.0 * 0.625, 44, 70, "left")
    notes = sorted((*performance.notes, odd), key=lambda note: (note.onset, note.pitch))
    found = judged(graph, replace(performance, notes=tuple(notes))).bars[0]
    assert [(one.kind, one.beat, one.hand) for one in found.rhythm.faults] == [
        ("added", 1.0, "left")
    ]
    assert found.bass.word == "right"
