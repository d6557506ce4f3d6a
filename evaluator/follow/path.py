"""Where in the song was the player, from strike to strike?

The follower's answer: which bars were played in which order, how each was reached,
when it began and ended, and where in it every strike lies. Nothing here is judged.

Units: seconds of the take; beats of a bar's own meter from 0 (floats: played positions).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

AT_LINE: Final = 0.01
"""Seconds; bar lines are no more exact than this."""

Entry = Literal["start", "onward", "choice", "jump", "restart"]
"""How a bar was reached
    start    the first bar of the take
    onward   the nominal next bar
    choice   another legal next bar: an `or` line, a range, an optional section left out
    jump     at the bar line, in time, to a bar that may not legally follow
    restart  broke off, anywhere in a bar, and took up again here after any time
"""


Rhythm = Literal["chart", "any", "metre"]
"""What a song is followed by: its patterns and any rhythm beside them, or its metre where it has
none; any rhythm over its chords; or its metre, as if it had no patterns."""


Numbers = Callable[[int], tuple[int, ...]]
"""Which strikes stand for the one of that number, as those that it was made of."""


@dataclass(frozen=True, slots=True)
class PlacedStrike:
    """A strike of the take at its place in a played bar."""

    strike: int
    """Index into the take's strikes."""
    beat: float
    """Chart position that it was matched with."""


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar as it was played."""

    bar: int
    """Index into `BarGraph.bars`."""
    entry: Entry
    start: float
    """Time of the bar line at its beginning, seconds."""
    end: float
    """Time of the bar line at its end, or where it was broken off or the take ended."""
    beats_played: float
    """The whole length of the bar unless it was broken off."""
    strikes: tuple[PlacedStrike, ...]
    ornaments: tuple[int, ...]
    """Strikes within the bar that fit no place of it."""
    pause: float
    """Longest halt before or inside the bar beyond the time expected, seconds; 0 if none."""
    pause_beat: float
    """Beat before which that halt was made; a halt before beat 0 lies before `start`."""
    confidence: float
    """0 to 1, from the margin to the best path that disagrees about this bar."""

    @property
    def struck(self) -> list[int]:
        """All strikes within the bar, in order."""
        return sorted({*(placed.strike for placed in self.strikes), *self.ornaments})

    @property
    def halt_within(self) -> float:
        """Seconds of the bar, from `start` to `end`, that it stood still."""
        return self.pause if self.pause_beat > 0.0 else 0.0

    def counted_on(self, by: int) -> "PlayedBar":
        """The bar with its strikes numbered so many higher."""
        return self.renumbered(lambda strike: (strike + by,))

    def renumbered(self, numbers: Numbers) -> "PlayedBar":
        """The bar with other strikes in the place of each."""
        placed = [PlacedStrike(at, one.beat) for one in self.strikes for at in numbers(one.strike)]
        return replace(
            self,
            strikes=tuple(sorted(placed, key=lambda one: one.strike)),
            ornaments=_numbered(self.ornaments, numbers),
        )


@dataclass(frozen=True, slots=True)
class Path:
    """The way through the song that explains the take best."""

    bars: tuple[PlayedBar, ...]
    transposed: int
    """Semitones by which the whole take sounds above the chart, -5..6."""
    complete: bool
    """Reached a bar with which the song may end."""
    fit: float
    """How well the strikes fit the chart: 0 is no better than noise, 1 an ordinary take of
    the right song, and a tidy one fits better still."""
    before: tuple[int, ...]
    """Strikes before the first bar: noodling."""
    after: tuple[int, ...]
    """Strikes after the last bar."""
    misfit: float = 0.0
    """How badly the strikes fit the chords they stand under, nats a strike."""
    freely: float = 0.0
    """Share of the strikes, 0 to 1, heard in a rhythm of the player's own beside a pattern."""
    rhythm: Rhythm = "chart"
    """By what it was followed."""

    @property
    def strays(self) -> int:
        """Jumps and restarts on the way."""
        return sum(bar.entry in ("jump", "restart") for bar in self.bars)

    def counted_on(self, by: int) -> "Path":
        """The path with its strikes numbered so many higher; those before them were not on it."""
        moved = self.renumbered(lambda strike: (strike + by,))
        return replace(moved, before=(*range(by), *moved.before))

    def renumbered(self, numbers: Numbers) -> "Path":
        """The path with other strikes in the place of each."""
        return replace(
            self,
            bars=tuple(bar.renumbered(numbers) for bar in self.bars),
            before=_numbered(self.before, numbers),
            after=_numbered(self.after, numbers),
        )


def _numbered(strikes: Sequence[int], numbers: Numbers) -> tuple[int, ...]:
    return tuple(sorted(number for strike in strikes for number in numbers(strike)))
