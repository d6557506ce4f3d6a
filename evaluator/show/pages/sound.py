"""What does the page sound when a bar is to be heard?

Two lists of notes: each bar of the chart as it should be, at the take's own tempo so
that only what differs is heard, and each played bar as it was played, from the take. A
transposed take is heard in the chart's key: that is where its keys were pressed.

Units: whole milliseconds from the bar line; a note is four numbers in a row (start,
length, MIDI key, velocity).
"""

from typing import Final

import numpy as np

from evaluator.grading import Graded
from evaluator.show.pages.voicing import sound_of

RINGS_ON: Final = 0.25
"""Seconds that a note may sound beyond its bar, so that it does not end in a click."""
PACES: Final = (0.4, 2.5)
"""The take's tempo is followed so far down and up, in shares of the chart's."""

Sounds = dict[str, list[list[int]]]


def sounds(graded: Graded) -> Sounds:
    """`wanted` by index of the chart's bar, `played` by number of the played bar from 1."""
    return {"wanted": _wanted(graded), "played": [[], *_played(graded)]}


def _wanted(graded: Graded) -> list[list[int]]:
    graph, tempo = graded.song.graph, graded.judgement.tempo
    pace = tempo.median / tempo.chart if tempo.median > 0 else 1.0
    stretch = 1000.0 / min(max(pace, PACES[0]), PACES[1])
    return [
        [
            number
            for note in notes
            for number in (
                round(note.beat * bar.seconds_per_beat * stretch),
                round(note.beats * bar.seconds_per_beat * stretch),
                note.key,
                note.velocity,
            )
        ]
        for bar, notes in zip(graph.bars, sound_of(graph.bars), strict=True)
    ]


def _played(graded: Graded) -> list[list[int]]:
    take, path = graded.take, graded.path
    onsets, ends = take.onsets.tolist(), _silent(graded).tolist()
    pitches, velocities = take.pitches.tolist(), take.velocities.tolist()
    found = []
    for played, verdict in zip(path.bars, graded.judgement.bars, strict=True):
        struck = [placed.strike for placed in played.strikes] + list(played.ornaments)
        notes = sorted(note for strike in struck for note in graded.strikes[strike].notes)
        last = verdict.end + RINGS_ON
        numbers: list[int] = []
        for note in notes:
            start = onsets[note]
            until = max(min(ends[note], last), start + 0.05)
            numbers += [round(1000 * (start - verdict.start)), round(1000 * (until - start))]
            numbers += [pitches[note] - path.transposed, velocities[note]]
        found.append(numbers)
    return found


def _silent(graded: Graded) -> np.ndarray:
    """When each note fell silent: keys let go under the pedal sound until it goes up."""
    take = graded.take
    if not len(take.pedal):
        return take.offsets
    at = np.searchsorted(take.pedal[:, 0], take.offsets, side="right") - 1
    up = take.pedal[np.maximum(at, 0), 1]
    return np.where((at >= 0) & (take.offsets < up), up, take.offsets)
