"""Which notes were struck together?

Fingers of one chord do not land at one instant. In 150 performances of the ASAP data set
(concert pianists; Foscarin et al., ISMIR 2020) nine tenths of the chords within a hand spread
over less than 41 ms, and the hands lie less than 51 ms apart. So notes belong to one strike
that lie within 50 ms of its first onset, or within 75 ms if they are more than an octave from
that note and so probably in the other hand. A chord that is rolled on purpose goes on
further: its notes rise or fall evenly, at most 60 ms apart and 250 ms in all, which is faster
than runs of single notes (sixteenths at 160 a minute are 94 ms apart).

Works one note at a time, so that a file and a live take are cut alike. Units: seconds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from evaluator.errors import TakeError
from evaluator.take.model import Take

HAND_WINDOW = 0.050
HANDS_WINDOW = 0.075
OCTAVE = 12

ROLL_GAP = 0.060
ROLL_SPREAD = 0.250
ROLL_NOTES = 3

# "Evenly": no gap more than twice the mean of those before it; a chord all but together
# counts as one with gaps of 15 ms. Common practice, no source.
UNEVEN = 2.0
# Notes so close have no order: the bass under a rolled right hand may come before or after.
NO_ORDER = 0.015
# Twenty minutes of eighths at 120 a minute: what is longer is not one take of a song, and
# following it would take minutes, and more memory than a small computer has.
MOST_STRIKES = 5_000
# All bounds are inclusive; differences of times are off by less than this.
ROUNDING = 1e-9
# Nobody strikes a key again so soon: a piano with layers sends each note on two channels, and
# a program may copy a track.
SAME_STROKE = NO_ORDER


@dataclass(frozen=True, slots=True)
class Strike:
    """Notes that were struck as one."""

    time: float
    """First onset, which stands for the whole strike."""
    last: float
    """Last onset."""
    notes: tuple[int, ...]
    """Indices into the take, lowest pitch first."""
    pitches: tuple[int, ...]
    """MIDI keys, ascending, each once."""
    velocities: tuple[int, ...]
    """In the order of `pitches`."""
    rolled: bool
    """Spread on purpose, beyond what fingers do of themselves."""


class StrikeGrouper:
    """Cuts a stream of notes, in the order of their onsets, into strikes."""

    __slots__ = ("_first", "_first_pitch", "_last", "_notes", "_rolled", "_struck")

    def __init__(self) -> None:
        self._notes: list[tuple[int, int, int, float]] = []
        """(pitch, index, velocity, onset) of the open strike, in order of onset."""
        self._struck: dict[int, float] = {}
        """When each key of the open strike was struck."""
        self._first = self._last = 0.0
        self._first_pitch = 0
        self._rolled = False

    def push(self, index: int, onset: float, pitch: int, velocity: int) -> Strike | None:
        """Take in a note; return the strike that it shows to be over, if it does.

        The same stroke once more, on another channel or track, is not counted again.
        """
        if onset - self._struck.get(pitch, -1.0) <= SAME_STROKE + ROUNDING:
            return None
        closed = None
        if self._notes and not self._takes_in(onset, pitch):
            closed = self.close()
        if not self._notes:
            self._first, self._first_pitch = onset, pitch
        self._last = onset
        self._notes.append((pitch, index, velocity, onset))
        self._struck[pitch] = onset
        return closed

    def due(self, now: float) -> Strike | None:
        """The open strike if no note after `now` could belong to it any more."""
        latest = max(self._first + HANDS_WINDOW, self._last + ROLL_GAP) + ROUNDING
        return self.close() if self._notes and now > latest else None

    def close(self) -> Strike | None:
        """The open strike, whether it may go on or not; None if there is none."""
        if not self._notes:
            return None
        pitches, notes, velocities, _ = zip(*sorted(self._notes), strict=True)
        strike = Strike(self._first, self._last, notes, pitches, velocities, self._rolled)
        self._notes, self._struck = [], {}
        self._rolled = False
        return strike

    def _takes_in(self, onset: float, pitch: int) -> bool:
        since = onset - self._first - ROUNDING
        if since > ROLL_SPREAD or pitch in self._struck:
            return False
        far = abs(pitch - self._first_pitch) > OCTAVE
        if since <= (HANDS_WINDOW if far else HAND_WINDOW):
            return True
        if self._goes_on_rolling(onset, pitch):
            self._rolled = True
            return True
        return False

    def _goes_on_rolling(self, onset: float, pitch: int) -> bool:
        notes = self._notes
        gap = onset - self._last - ROUNDING
        if gap > ROLL_GAP or len(notes) + 1 < ROLL_NOTES:
            return False
        gaps = [later[3] - earlier[3] for earlier, later in pairwise(notes)]
        steps = [step for step in gaps if step > NO_ORDER] or [NO_ORDER]
        if max(steps) - ROUNDING > ROLL_GAP or gap > UNEVEN * sum(steps) / len(steps):
            return False
        pitches = [note[0] for note in notes]
        if pitch > max(pitches):
            direction = 1
        elif pitch < min(pitches):
            direction = -1
        else:
            return False
        return all(
            step <= NO_ORDER or (later - earlier) * direction > 0
            for step, (earlier, later) in zip(gaps, pairwise(pitches), strict=True)
        )


def joined(pieces: Sequence[Strike], within: float) -> Strike:
    """One strike of all the pieces, which are in order of time and share no key; rolled if one of
    them is, or if they are spread over more than `within` seconds."""
    if len(pieces) == 1:
        return pieces[0]
    columns = sorted(
        (pitch, note, velocity)
        for piece in pieces
        for pitch, note, velocity in zip(piece.pitches, piece.notes, piece.velocities, strict=True)
    )
    pitches, notes, velocities = zip(*columns, strict=True)
    last = max(piece.last for piece in pieces)
    rolled = any(piece.rolled for piece in pieces) or last - pieces[0].time > within
    return Strike(pieces[0].time, last, notes, pitches, velocities, rolled)


def strikes(take: Take) -> tuple[Strike, ...]:
    """Every strike of a take, in order. Raises `TakeError` for more than `MOST_STRIKES`."""
    grouper = StrikeGrouper()
    columns = (take.onsets, take.pitches, take.velocities)
    found = [
        grouper.push(index, onset, pitch, velocity)
        for index, (onset, pitch, velocity) in enumerate(
            zip(*(column.tolist() for column in columns), strict=True)
        )
    ]
    cut = tuple(strike for strike in (*found, grouper.close()) if strike is not None)
    if len(cut) > MOST_STRIKES:
        raise TakeError(
            f"The take holds {len(cut)} strikes, more than the {MOST_STRIKES} that are followed,"
            " twenty minutes of quick playing. Cut the song out of it and hand in that alone."
        )
    return cut
