"""At what second does a tick of the file sound?

Standard MIDI Files 1.0: the division of the header gives ticks per quarter note, and tempo
events give microseconds per quarter (500,000 until the first one); or, with its top bit
set, the division gives SMPTE frames per second and ticks per frame, and tempo events do
not count.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from evaluator.errors import TakeError
from evaluator.take.model import Seconds

DEFAULT_TEMPO = 500_000
"""Microseconds per quarter where the file gives no tempo (SMF 1.0: 120 a minute)."""

# SMPTE rates as the header writes them (minus the rate); 29 stands for 29.97 drop frame.
FRAMES_PER_SECOND = {24: 24.0, 25: 25.0, 29: 30_000 / 1_001, 30: 30.0}


class TempoMark(NamedTuple):
    """From some tick of the file on it goes at a tempo."""

    tick: int
    tempo: int
    """Microseconds per quarter."""


def seconds_at(
    ticks: Sequence[int] | npt.NDArray[np.int64],
    division: int,
    tempos: Sequence[TempoMark] = (),
) -> Seconds:
    """(n,) seconds at the given ticks.

    `division` is the header's 16 bits, unsigned; `tempos` are in order of
    ticks, of which the last at one tick counts. Raises `TakeError`
    for a division that measures no time.
    """
    at = np.asarray(ticks, dtype=np.float64)
    if division & 0x8000:
        return at / _smpte_rate(division)
    if division == 0:
        raise TakeError(
            "The MIDI header says that a quarter note has 0 ticks, so no time can be read from it."
            " Export the take again."
        )
    marks = [TempoMark(0, DEFAULT_TEMPO), *tempos]
    marks_at = np.array([tick for tick, _ in marks], dtype=np.float64)
    rates = np.array([tempo for _, tempo in marks], dtype=np.float64) / (division * 1e6)
    reached = np.concatenate(([0.0], np.cumsum(np.diff(marks_at) * rates[:-1])))
    which = np.searchsorted(marks_at, at, side="right") - 1
    seconds: Seconds = reached[which] + (at - marks_at[which]) * rates[which]
    return seconds


def _smpte_rate(division: int) -> float:
    """Ticks per second of an SMPTE division."""
    frames = 256 - (division >> 8)
    per_frame = division & 0xFF
    if frames not in FRAMES_PER_SECOND or per_frame == 0:
        raise TakeError(
            f"The MIDI header counts time in {frames} film frames a second with {per_frame} ticks"
            " each, which is no such standard. Export the take again."
        )
    return FRAMES_PER_SECOND[frames] * per_frame
