"""Which beats, which bars: how is the take counted so that the sheet fits best?

Tries each way to beat that was found, and the same beats half a beat later (a song may be played
against the beat throughout), each grouped into bars of the usual meters, and takes what fits
best. A tempo or meter given by the teacher is believed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from evaluator.chart.graph import Meter
from evaluator.draft.align import Alignment
from evaluator.draft.heard import EARLY, Heard, half_beats, hear
from evaluator.draft.plain import Asked
from evaluator.draft.pulse import LONGEST_OF_THREE, BeatRange, find_beats, usual_beat
from evaluator.take.model import Seconds
from evaluator.take.strike import Strike

_TOLERANCE = 0.2
"""A tempo that is said may be off by so much, and the song be so much slower in its last line."""
_OFF_BEAT = 20.0
"""Log likelihood by which the beats half-way between must fit better than those found."""
_USUAL = (Meter(4, 4), Meter(3, 4), Meter(6, 8))
_SHORTEST_OF_THREE = 0.7
"""Seconds of a beat of three eighths."""
_SHORTEST_QUARTER = 0.33
"""Seconds; faster beats are eighths, if six of them make a bar."""


@dataclass(frozen=True, slots=True, eq=False)
class Counted:
    """A take that is counted through."""

    meter: Meter
    heard: Heard
    way: Alignment
    tempo_said: bool

    @property
    def beats(self) -> Seconds:
        return self.heard.beats

    @property
    def bpm(self) -> float:
        return 60.0 / float(np.median(np.diff(self.beats)))


def count_through(
    strikes: Sequence[Strike], asked: Asked, fit: Callable[[Heard, int], Alignment]
) -> Counted:
    """The best way to count; `fit` rates bars of so many beats."""
    compound = asked.meter is not None and asked.meter.unit == 8 and asked.meter.beats % 3 == 0
    found = (_eighths(strikes, asked.tempo),) if compound else _beats(strikes, asked.tempo)
    ways: list[tuple[float, Counted]] = []
    for beats in found:
        for grid, price in ((beats, 0.0), (_between(beats, strikes[0].time), _OFF_BEAT)):
            heard = hear(strikes, grid)
            for meter in (asked.meter,) if asked.meter else _meters(beats):
                way = fit(heard, meter.beats)
                counted = Counted(meter, heard, way, asked.tempo is not None)
                ways.append((way.score - price, counted))
    return max(ways, key=lambda one: one[0])[1]


def _beats(strikes: Sequence[Strike], tempo: float | None) -> tuple[Seconds, ...]:
    if tempo is not None:
        return find_beats(strikes, _about(60.0 / tempo))
    found: list[Seconds] = []
    for beats in find_beats(strikes, BeatRange()):
        factor = usual_beat(beats, strikes)
        if factor == 1.0:
            found.append(beats)
        else:
            found += find_beats(strikes, _about(factor * float(np.median(np.diff(beats)))))
    return tuple(found)


def _eighths(strikes: Sequence[Strike], tempo: float | None) -> Seconds:
    """Eighths, three to a beat that is found first: often nothing else is struck."""
    if tempo is None:
        dotted = BeatRange(_SHORTEST_OF_THREE, LONGEST_OF_THREE, of_three=True)
    else:
        dotted = replace(_about(3 * 60.0 / tempo), of_three=True)
    (beats,) = find_beats(strikes, dotted)
    thirds = np.arange(3 * (len(beats) - 1) + 1) / 3
    eighths = np.asarray(np.interp(thirds, np.arange(len(beats)), beats))
    return eighths[np.searchsorted(eighths, strikes[0].time + EARLY) - 1 :]


def _about(beat: float) -> BeatRange:
    return BeatRange(beat * (1 - _TOLERANCE), beat * (1 + _TOLERANCE))


def _meters(beats: Seconds) -> tuple[Meter, ...]:
    fast = float(np.median(np.diff(beats))) < _SHORTEST_QUARTER
    return _USUAL if fast else _USUAL[:2]


def _between(beats: Seconds, first: float) -> Seconds:
    """The same beats half a beat later, with one before them if the first strike needs it."""
    middles = half_beats(beats)[1::2]
    last = np.append(middles, middles[-1] + beats[-1] - beats[-2])
    if first > middles[0] - EARLY:
        return last
    return np.append(middles[0] - (beats[1] - beats[0]), last)
