"""What does the page sound when a bar is to be heard?

Two lists of notes: each bar of the chart as its guide plays it, at the take's own tempo so
that only what differs is heard, and each played bar as it was played, from the take. A
transposed take is heard in the chart's key: that is where its keys were pressed.

Units: whole milliseconds from the bar line; a note is four numbers in a row (start,
length, MIDI key, velocity).
"""

from typing import Final

from evaluator.grading import Graded
from evaluator.practise.strokes import LOUDNESS, strokes

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
    found: list[list[int]] = [[] for _ in graph.bars]
    for stroke in strokes(graph.bars):
        beat = graph.bars[stroke.place].seconds_per_beat * stretch
        start, long = round(stroke.beat * beat), round((stroke.until - stroke.beat) * beat)
        for key in stroke.keys:
            found[stroke.place] += [start, long, key, LOUDNESS[stroke.hand]]
    return found


def _played(graded: Graded) -> list[list[int]]:
    take, path = graded.take, graded.path
    onsets, ends = take.onsets.tolist(), take.silences.tolist()
    pitches, velocities = take.pitches.tolist(), take.velocities.tolist()
    found = []
    for played, verdict in zip(path.bars, graded.judgement.bars, strict=True):
        notes = sorted(note for strike in played.struck for note in graded.strikes[strike].notes)
        last = verdict.end + RINGS_ON
        numbers: list[int] = []
        for note in notes:
            start = onsets[note]
            until = max(min(ends[note], last), start + 0.05)
            numbers += [round(1000 * (start - verdict.start)), round(1000 * (until - start))]
            numbers += [pitches[note] - path.transposed, velocities[note]]
        found.append(numbers)
    return found
