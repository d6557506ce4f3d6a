"""What did the player do with the keys and the pedal?

A take is the plain record of it: each note with its time, key and loudness, and the
spans in which the sustain pedal was down. It knows nothing of files, charts or bars.

Units: seconds from the start of the recording; MIDI keys 0..127 (60 is middle C); MIDI
velocities 1..127; channels 0..15.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Seconds = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int16]


CHANNELS = "channels"
"""Kind of what is said of an accompaniment: nothing was wrong with the recording."""


@dataclass(frozen=True, slots=True)
class Repair:
    """Something wrong with the recording that was put right, or left out, in reading it."""

    kind: str
    """A short fixed word, such as `cut` or `no-note-end`."""
    say: str
    """One plain sentence, with the byte position where it applies."""


@dataclass(frozen=True, slots=True, eq=False)
class Take:
    """One run-through, sorted by (onset, pitch). Made by `make_take`; arrays are read-only."""

    onsets: Seconds
    """(n,) seconds."""
    offsets: Seconds
    """(n,) seconds at which the keys were let go, never before the onset; pedal not counted."""
    pitches: Numbers
    """(n,) MIDI keys."""
    velocities: Numbers
    """(n,) 1..127."""
    channels: Numbers
    """(n,) 0..15."""
    tracks: Numbers
    """(n,) number of the track in the file, from 0."""
    pedal: Seconds
    """(m, 2) spans in which the sustain pedal was down: sorted, apart from each other."""
    repairs: tuple[Repair, ...]

    def __len__(self) -> int:
        return len(self.onsets)

    @property
    def seconds(self) -> float:
        """Time at which the last key was let go; 0 for a take without notes."""
        return float(self.offsets.max()) if len(self.offsets) else 0.0

    @property
    def silences(self) -> Seconds:
        """(n,) seconds at which the notes fell silent: keys let go under the pedal sound until
        it goes up."""
        if not len(self.pedal):
            return self.offsets
        at = np.searchsorted(self.pedal[:, 0], self.offsets, side="right") - 1
        up = self.pedal[np.maximum(at, 0), 1]
        return np.where((at >= 0) & (self.offsets < up), up, self.offsets)


def make_take(
    onsets: Sequence[float] | Seconds,
    offsets: Sequence[float] | Seconds,
    pitches: Sequence[int] | npt.NDArray[np.integer],
    velocities: Sequence[int] | npt.NDArray[np.integer],
    *,
    channels: Sequence[int] | npt.NDArray[np.integer] | None = None,
    tracks: Sequence[int] | npt.NDArray[np.integer] | None = None,
    pedal: Sequence[tuple[float, float]] | Seconds = (),
    repairs: tuple[Repair, ...] = (),
) -> Take:
    """Sort the notes and check them; channels and tracks are 0 where not given.

    Raises `ValueError` for values that no keyboard can send: unequal lengths, times that
    are not finite or not from 0 up, a note or a pedal span that ends before it begins,
    keys outside 0..127, velocities outside 1..127, channels outside 0..15.
    """
    starts = np.asarray(onsets, dtype=np.float64)
    keys = np.asarray(pitches, dtype=np.int64)
    zeros = np.zeros(len(starts), dtype=np.int64)
    columns = (
        starts,
        np.asarray(offsets, dtype=np.float64),
        keys,
        np.asarray(velocities, dtype=np.int64),
        zeros if channels is None else np.asarray(channels, dtype=np.int64),
        zeros if tracks is None else np.asarray(tracks, dtype=np.int64),
    )
    if any(column.shape != starts.shape or column.ndim != 1 for column in columns):
        raise ValueError("every note needs an onset, an offset, a pitch and a velocity")
    spans = np.asarray(pedal, dtype=np.float64).reshape(-1, 2)
    _check_times(starts, columns[1], "note")
    _check_times(spans[:, 0], spans[:, 1], "pedal span")
    limits = (("pitch", 0, 127), ("velocity", 1, 127), ("channel", 0, 15), ("track", 0, 32767))
    for column, (name, low, high) in zip(columns[2:], limits, strict=True):
        if len(column) and not (low <= column.min() and column.max() <= high):
            raise ValueError(f"a {name} lies outside {low}..{high}")
    order = np.lexsort((keys, starts))
    return Take(
        onsets=_kept(starts[order]),
        offsets=_kept(columns[1][order]),
        pitches=_whole(keys[order]),
        velocities=_whole(columns[3][order]),
        channels=_whole(columns[4][order]),
        tracks=_whole(columns[5][order]),
        pedal=_kept(_joined(spans)),
        repairs=repairs,
    )


def _check_times(starts: Seconds, ends: Seconds, what: str) -> None:
    if not (np.isfinite(starts).all() and np.isfinite(ends).all()):
        raise ValueError(f"the time of a {what} is not a finite number")
    if (starts < 0).any():
        raise ValueError(f"a {what} begins before 0 seconds")
    if (ends < starts).any():
        raise ValueError(f"a {what} ends before it begins")


def _joined(spans: Seconds) -> Seconds:
    """Spans in order, those that touch or overlap (two channels, one foot) made one."""
    joined: list[list[float]] = []
    for start, end in sorted(spans.tolist()):
        if joined and start <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], end)
        else:
            joined.append([start, end])
    return np.array(joined, dtype=np.float64).reshape(-1, 2)


def _kept(values: Seconds) -> Seconds:
    values.flags.writeable = False
    return values


def _whole(values: npt.NDArray[np.integer]) -> Numbers:
    numbers = values.astype(np.int16)
    numbers.flags.writeable = False
    return numbers
