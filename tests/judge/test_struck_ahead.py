"""To which chord does a strike belong that the pattern does not have? Common practice of
accompaniment: the next chord may be anticipated by up to an eighth; no source."""

from dataclasses import replace

import pytest

from evaluator.judge import Judgement
from tests.judge.songs import HEAD, VERSE, judged, song
from tests.playing import Note, play

BEAT = 0.625
"""Seconds. Bar 7 is G and, from its third beat on, Em7; bar 8 is A."""


def with_chord(beat: float, *keys: int) -> Judgement:
    """The usual song with one more right-hand chord, `beat` from the beginning of bar 7."""
    graph = song(HEAD + VERSE)
    performance = play(graph)
    at = performance.truth.bars[6].start + beat * BEAT
    more = tuple(Note(at, at + 0.2, key, 66, "right") for key in keys)
    notes = sorted((*performance.notes, *more), key=lambda note: (note.onset, note.pitch))
    return judged(graph, replace(performance, notes=tuple(notes)))


EM, A, G = (64, 71, 76), (61, 64, 69), (67, 71, 74)


@pytest.mark.parametrize(
    ("beat", "keys", "words"),
    [
        # A chord ahead of the one it fits, within the bar and across the bar line.
        (1.75, EM, ["right", "right", "right"]),
        (3.6, A, ["right", "right", "right"]),
        # Too early to be meant for the next one.
        (1.4, EM, ["wrong", "right", "right"]),
        (3.4, A, ["right", "wrong", "right"]),
        # Shortly before the change, but still the old chord.
        (1.75, G, ["right", "right", "right"]),
    ],
)
def test_a_chord_struck_ahead_belongs_to_the_one_it_fits(
    beat: float, keys: tuple[int, ...], words: list[str]
) -> None:
    bars = with_chord(beat, *keys).bars
    spans = (*bars[6].chord.spans, *bars[7].chord.spans)
    assert [span.word for span in spans] == words


def test_behind_the_last_chord_there_is_no_next_one() -> None:
    assert with_chord(7.6, *EM).bars[7].chord.word == "wrong"
