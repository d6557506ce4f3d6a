"""Takes of the small songs in other rhythms than their own, and beside the song."""

from dataclasses import replace

import numpy as np

from evaluator.chart import BarGraph
from tests.follow.songs import BEAT, HEAD, LINES, order, song
from tests.playing import Note, Performance, play

WALK = HEAD[HEAD.index("pattern") :]
"""The pattern of the charts."""


def rhythm(left: str, right: str) -> str:
    """A pattern."""
    return f"pattern other\n  left  | {left} |\n  right | {right} |\n\n"


RHYTHMS = {
    "whole notes": rhythm("x . . .", "x . . ."),
    "half notes": rhythm("x . x .", "x . x ."),
    "quarters": rhythm("x x x x", "x x x x"),
    "eighths": rhythm("x . . . . . . .", "x x x x x x x x"),
    "off-beats": rhythm("x . . . x . . .", ". x . x . x . x"),
    "triplets": rhythm("x . . . . . x . . . . .", "x x x x x x x x x x x x"),
    "broken right": rhythm("x . . . . . . .", "1 3 5 3 1 3 5 3"),
    "broken left": rhythm("1 5 3 5 1 5 3 5", "x . . . . . . ."),
    "rolling left": rhythm("1 5 8 5", ". . . ."),
}


def in_rhythm(other: str, text: str = LINES) -> BarGraph:
    """The song of a chart with another pattern."""
    assert WALK in text
    return song(text.replace(WALK, other))


TOGETHER = rhythm("x . x .", "x x x x")


def hands_apart(take: Performance, seconds: float) -> Performance:
    """The same take with the right hand so much behind the left."""
    notes = [
        replace(note, onset=note.onset + seconds, offset=note.offset + seconds)
        if note.hand == "right"
        else note
        for note in take.notes
    ]
    notes.sort(key=lambda note: (note.onset, note.pitch))
    return Performance(tuple(notes), (), take.truth)


def in_turn(*parts: tuple[str, range, float]) -> tuple[Performance, list[float]]:
    """A take of some bars each in a rhythm and a tempo, one after the other without a break,
    and where its bars begin."""
    notes: list[Note] = []
    starts: list[float] = []
    end = 1.0
    for seed, (other, bars, tempo) in enumerate(parts, 1):
        graph = in_rhythm(other)
        part = play(graph, order(graph, *bars), tempo=tempo, start=0.0, jitter_ms=8, seed=seed)
        part = part.later(end)
        notes.extend(part.notes)
        starts += [bar.start for bar in part.truth.bars]
        end = part.truth.bars[-1].end
    return Performance(tuple(notes), (), part.truth), starts


def second_section(other: str = WALK, tempo: float = 1.0) -> tuple[Performance, list[float]]:
    """A take whose second section is in another rhythm or tempo, and where its bars begin."""
    return in_turn(
        (WALK, range(1, 9), 1.0), (other, range(9, 17), tempo), (WALK, range(17, 25), 1.0)
    )


def single_notes(seed: int, seconds: float) -> list[Note]:
    """A tune of no song: single notes of the key, one or two a beat."""
    dice = np.random.default_rng(seed)
    notes, time, at = [], 0.5, 7
    while time < seconds:
        at = int(np.clip(at + dice.integers(-2, 3), 0, 13))
        key = 60 + 12 * (at // 7) + (0, 2, 4, 5, 7, 9, 11)[at % 7]
        notes.append(Note(time, time + 0.2, key, 60, "right"))
        time += BEAT * float(dice.choice([0.5, 0.5, 1.0])) + float(dice.normal(0, 0.03))
    return notes


def aimless_notes(seed: int, seconds: float) -> list[Note]:
    """Single notes with neither key nor beat."""
    dice = np.random.default_rng(seed)
    notes, time = [], 0.5
    while time < seconds:
        notes.append(Note(time, time + 0.1, int(dice.integers(60, 85)), 55, "right"))
        time += 0.15 + float(dice.exponential(0.3))
    return notes
