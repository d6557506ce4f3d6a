"""Where is something written, what was struck for it, and what may be played around it?

Places of notes that the chart writes out, in one stretch of playing, with the keys that are
wanted there. How far from its time a note may be struck is the place's own: more where a long
grace note leans on it, or a chord is rolled. Around an ornament its keys are the player's own.

Units: seconds; places are written seconds from the first bar.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field

from evaluator.judge.layout import Due

LEAST_REACH = 0.21
"""Seconds; where beats are short."""
TOGETHER = 0.075
"""Seconds within which hands strike together (see `evaluator.take.strike`)."""
LEANING = 2 / 3
"""Share of a note that a long grace note before it may take (C. P. E. Bach, Versuch, 1753, on
appoggiaturas before notes in three; from memory)."""
ROLL = 0.5
"""Seconds that a rolled chord may take."""
BEFORE, BEFORE_BEATS, BEHIND = 0.3, 0.5, 0.15
"""An ornament is played from so long before its note, seconds or beats if that is more, to so
many seconds behind it."""
A_GRACE = 0.1
"""Seconds that each of several small notes may take. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """A played note."""

    source: int
    """Index of the hand strike it comes from."""
    onset: float
    note: int
    pitch: int
    velocity: int
    end: float


@dataclass(slots=True)
class Place:
    """Where something is written, in one stretch of playing."""

    at: float
    rough: float
    beat_seconds: float
    dues: list[int]
    keys: dict[int, PlayedNote | None]
    """What was struck for each key that is written here."""
    expected: float
    steady: set[int] = field(default_factory=set)
    """The keys whose time is neither a rolled chord's nor an ornament's."""
    around: set[int] = field(default_factory=set)
    """The keys of its ornaments."""
    length: float = 0.0
    """Of the longest strike with ornaments, seconds."""
    small: int = 0
    """How many small notes lead to it."""
    rolled: bool = False

    def take_in(self, index: int, one: Due) -> None:
        strike = one.strike
        self.dues.append(index)
        self.keys.update(dict.fromkeys(strike.pitches))
        self.around |= strike.around
        self.rolled |= strike.rolled
        self.small = max(self.small, strike.small)
        if strike.around:
            self.length = max(self.length, float(strike.beats) * one.beat_seconds)
        if not strike.adorned:
            self.steady |= set(strike.pitches)

    def reach(self, beats: float) -> float:
        """How far from where they are awaited its notes may be struck."""
        adorned = max(self.leaning, ROLL if self.rolled else 0.0)
        return max(LEAST_REACH, beats * self.beat_seconds, adorned)

    @property
    def leaning(self) -> float:
        """How much later a long grace note may make it, seconds."""
        return LEANING * self.length + TOGETHER if self.length else 0.0

    @property
    def before(self) -> float:
        """From how long before it its ornaments may be played, seconds."""
        leaning = self.leaning if self.small == 1 else 0.0
        return max(BEFORE, BEFORE_BEATS * self.beat_seconds, A_GRACE * self.small, leaning)

    def struck(self) -> list[float]:
        """When its notes came; of those that are steady, if there are any."""
        every = [(key, note.onset) for key, note in self.keys.items() if note is not None]
        steady = [onset for key, onset in every if key in self.steady]
        return steady or [onset for _, onset in every]


class Ornaments:
    """Where ornaments may be played, and on which keys."""

    def __init__(self, places: Sequence[Place]) -> None:
        self._places = [place for place in places if place.around]
        self._times = [place.expected for place in self._places]
        self._longest = max((place.length for place in self._places), default=0.0) + BEHIND

    def has(self, note: PlayedNote) -> bool:
        """Whether a note may belong to one."""
        at = bisect_left(self._times, note.onset - self._longest)
        for place in self._places[at:]:
            since = note.onset - place.expected
            if since < -2 * place.before:
                return False
            if -place.before <= since <= place.length + BEHIND and note.pitch in place.around:
                return True
        return False
