"""When is each note of the accompaniment to sound?

Where the student leads: where the follower expects the student to be by then. As long as a
strike that the student owes does not come, nothing further is played; when it comes, it goes on
from there. Where the click leads: by the clock of the count-in, whatever the student does.

A place is written seconds from the passage's beginning, counted on from one time through to the
next. Times are seconds of one clock, whichever it is.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from evaluator.practise.accompaniment import Sound

AHEAD: Final = 0.15
"""Seconds before its time that a note is handed on: longer than a turn of the loop takes."""
LATE: Final = 0.06
"""Seconds after its time from which a note is better left out. Common practice, no source."""
OWED: Final = 0.2
"""Seconds after which a strike that the student owes is missed. A strike is known only when no
more notes can belong to it, 75 ms after its first; the rest is what a player may be late."""
JUMP: Final = 0.5
"""Beats from where the student was expected beyond which it is another place."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """A line through time and passage: at the moment `at` (seconds) the player is at `place`
    (written seconds from the beginning, counted on from time to time) and goes on at `ratio`."""

    place: float
    at: float
    ratio: float
    """Played seconds per written second."""

    def time(self, place: float) -> float:
        """The moment at which a place is due, seconds."""
        return self.at + (place - self.place) * self.ratio

    def where(self, at: float) -> float:
        """The place that is due at a moment, written seconds."""
        return self.place + (at - self.at) / self.ratio


class Accompanist:
    """Plays along with one stretch of playing."""

    def __init__(
        self, sounds: Sequence[Sound], owed: Sequence[float], length: float, *, leads: bool
    ) -> None:
        """`sounds`: of one time through, in order; `owed`: the places of the student's strikes;
        `length` of the passage; `leads`: the clock does, not the student."""
        self._sounds, self._owed, self._length = sounds, owed, length
        self._leads = leads
        self._next = 0
        """Which sound comes next, counted on through all times."""

    def goes_to(self, place: float) -> None:
        """The student is at another place of the passage (written seconds): go on from there."""
        count = len(self._sounds)
        times = int(place // self._length)
        self._next = times * count + sum(
            sound.at < place - times * self._length - 1e-6 for sound in self._sounds
        )

    def due(
        self, pulse: Pulse, now: float, struck: float, *, ahead: float = AHEAD
    ) -> Iterator[tuple[float, bytes]]:
        """Each message that is to sound up to `ahead` seconds from now, with its moment, in order.

        Each is given once. `struck`: place of the student's last strike, written seconds.
        """
        if not self._sounds:
            return
        limit = inf if self._leads else self._limit(pulse, now, struck)
        while True:
            times, at = divmod(self._next, len(self._sounds))
            sound = self._sounds[at]
            place = times * self._length + sound.at
            time = pulse.time(place)
            if time > now + ahead or place > limit + 1e-6:
                return
            self._next += 1
            if time >= now - LATE or not sound.strikes:
                yield time, sound.raw

    def _limit(self, pulse: Pulse, now: float, struck: float) -> float:
        """The place of the first strike that the student owes for too long."""
        for place in self._owed_after(struck):
            time = pulse.time(place)
            if time + OWED > now:
                return inf
            return place
        return inf

    def _owed_after(self, struck: float) -> Iterator[float]:
        """The student's strikes after a place, for two times through."""
        times = int(max(struck, 0.0) // self._length)
        for number in (times, times + 1):
            for owed in self._owed:
                place = number * self._length + owed
                if place > struck + 1e-3:
                    yield place
