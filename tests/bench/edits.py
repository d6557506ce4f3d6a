"""Real playing with known mistakes of form: passages cut out, played again, halts.

Edits act on the notes of a take by the time of their onsets; what is held over a cut
keeps its length. Times are seconds.
"""

import numpy as np

from evaluator.take.model import Take, make_take

LEAD = 0.08
"""Notes up to so long before a bar line belong to the bar: anticipations, melody leads."""


def _rebuilt(take: Take, pieces: list[tuple[float, float, float]]) -> Take:
    """The notes with onsets in each (from, to), each piece shifted so far."""
    onsets, offsets, pitches, velocities = [], [], [], []
    for start, end, shift in pieces:
        chosen = (take.onsets >= start) & (take.onsets < end)
        onsets.append(take.onsets[chosen] + shift)
        offsets.append(take.offsets[chosen] + shift)
        pitches.append(take.pitches[chosen])
        velocities.append(take.velocities[chosen])
    return make_take(
        np.concatenate(onsets), np.concatenate(offsets),
        np.concatenate(pitches), np.concatenate(velocities),
    )  # fmt: skip


def cut(take: Take, start: float, end: float) -> Take:
    """The passage between two bar lines is missing."""
    start, end = start - LEAD, end - LEAD
    return _rebuilt(take, [(0.0, start, 0.0), (end, np.inf, start - end)])


def play_twice(take: Take, start: float, end: float) -> Take:
    """The passage between two bar lines comes once more."""
    start, end = start - LEAD, end - LEAD
    return _rebuilt(take, [(0.0, end, 0.0), (start, np.inf, end - start)])


def halt(take: Take, at: float, seconds: float) -> Take:
    """A standstill of so many seconds before everything from a time on."""
    at -= LEAD
    return _rebuilt(take, [(0.0, at, 0.0), (at, np.inf, seconds)])


def break_off(take: Take, at: float, back_to: float, seconds: float) -> Take:
    """Breaks off in the middle, waits, and takes up again from an earlier bar line."""
    at, back_to = at - LEAD, back_to - LEAD
    return _rebuilt(take, [(0.0, at, 0.0), (back_to, np.inf, at - back_to + seconds)])
