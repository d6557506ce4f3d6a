"""Which bars come again after a jump back?

From where the player went back to, up to the bar that was reached before: the passage
comes again. Within it bars may be left out, or come once more still; those are mistakes
of their own, and the passage is heard as a whole around them.

Bars are indices into `BarGraph.bars`, places are places in the order of playing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from evaluator.judge.song_form import SongForm

WHOLE = 3
"""A passage is heard as a whole if at least so many of its bars came for each left out;
common practice, no source."""


@dataclass(frozen=True, slots=True)
class Again:
    """A passage that the player went back for and played again."""

    limit: int
    """The bar before the jump back: the passage ends with it."""
    bars: tuple[int, ...]
    """The bars that came again, and those left out among them if it is heard as a whole."""
    after: int
    """Place of the first bar behind it."""
    lost: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    """Bars left out, by the place of the bar behind them; none unless heard as a whole."""


def coming_again(song: SongForm, order: Sequence[int], first: int, limit: int) -> Again:
    """The passage that is played again from `order[first]` on, after going back.

    `order`: the played bars, indices into `BarGraph.bars`. `limit`: the bar that was played last
    before the player went back; the passage lasts until the song is past it again.
    """
    whole: list[int] = []
    played: list[int] = []
    lost: dict[int, tuple[int, ...]] = {}
    place = first
    while place < len(order) and song.rank(order[place]) <= song.rank(limit):
        bar = order[place]
        if played and _goes_back(song, played[-1], bar):
            behind = _behind(song, order, place, played[-1])
            if song.rank(played[-1]) == song.rank(limit) or behind is None:
                break
            place = behind
            continue
        if played and bar not in song.graph.successors[played[-1]]:
            lost[place] = song.between(played[-1], {bar}) or ()
            whole += lost[place]
        played.append(bar)
        whole.append(bar)
        place += 1
    if WHOLE * (len(whole) - len(played)) > len(played):
        return Again(limit, tuple(played), place)
    return Again(limit, tuple(whole), place, lost)


def _goes_back(song: SongForm, before: int, bar: int) -> bool:
    """Whether a bar comes again that the chart does not repeat."""
    return song.rank(bar) <= song.rank(before) and bar not in song.graph.successors[before]


def _behind(song: SongForm, order: Sequence[int], place: int, reached: int) -> int | None:
    """The next place beyond what had been reached when the player went back at a place."""
    beyond = range(place + 1, len(order))
    return next((one for one in beyond if song.rank(order[one]) > song.rank(reached)), None)
