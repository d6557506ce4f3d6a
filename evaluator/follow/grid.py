"""Which places of the song can a strike belong to?

The bars of a `BarGraph` are laid out on one line of time at the written tempo, each with its
positions (`positions.py`). The written order is contiguous, so playing onward is moving along
the line; `or` lines stand apart behind it and are entered and left like any other bar that may
legally follow.

A chart with patterns lies on the line twice: once as its patterns are written, and once
more, far behind, for whoever plays the chords in a rhythm of their own. There a strike is
natural where the metre makes it so. From the one to the other leads the way at any bar line.
Any chart may also lie there for a rhythm of one's own alone: trusting the chords more than the
metre, or the metre as where there is no pattern.

All arrays are read-only. P positions, N bars as laid, C harmonies (distinct chord, colours,
bass); the first half of each stands for the pattern where the song lies twice.
Unit: `x` and lengths are seconds at the written tempo ("written seconds").
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow.path import Rhythm
from evaluator.follow.positions import (
    AS_WRITTEN,
    BEAT,
    FREELY,
    WANTED,
    Floats,
    Harmonies,
    Harmony,
    Ints,
    Positions,
    positions_of,
)

Whole = NDArray[np.signedinteger]
"""Whole numbers, of any size."""

APART = 1e5
"""Written seconds between the written order and each line that stands apart: no move
along the line of time can bridge it."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """The positions of a song and what each expects."""

    graph: BarGraph
    rhythm: Rhythm
    """What the song is laid out for."""
    any_rhythm: bool
    """Whether the chords are trusted more than the metre, as they are beside a pattern."""
    x: Floats
    """(P,) place on the line of time."""
    beat: Floats
    """(P,) beats from the bar line."""
    bar: Ints
    """(P,) number of the bar as laid."""
    harmony: Ints
    """(P,) index of the harmony."""
    kind: Ints
    """(P,) what the position expects, one of the constants of `positions.py`."""
    wanted_before: Floats
    """(P,) expected strikes (either hand or both) on the line before the position."""
    wanted_through: Floats
    """(P,) the same with the position's own."""
    ahead: Ints
    """(P, A) the next positions at which a strike would be natural, nearest first."""
    bar_x: Floats
    """(N,) place of the bar line."""
    bar_length: Floats
    """(N,) written seconds."""
    first: Ints
    """(N,) position of the bar line."""
    rest_after: Ints
    """(N,) the next bar on the line if nothing is to be played in it, else the bar itself."""
    room: Floats
    """(N,) written seconds from the bar line to the end of the first bar, this one or one behind
    it, in which something is to be played: the first strike of a player who goes on here may
    fall anywhere in them."""
    entry: Ints
    """(N,) first position of the bar at which a strike is wanted."""
    sound: Ints
    """(N,) number of the bar's sound: equal for bars that nobody can tell apart."""
    span: Ints
    """(P,) number of the sign of the chart that holds at the position, along the line."""
    harmonies: tuple[Harmony, ...]
    """(C,) each different harmony."""
    of: Ints
    """(N,) index in the graph of each bar as laid."""
    manner: Ints
    """(N,) in which manner the bar as laid is played, `AS_WRITTEN` or `FREELY`."""

    @property
    def manners(self) -> tuple[int, ...]:
        """The manners in which the song lies on the line, in that order."""
        return tuple(self.manner[:: len(self.graph.bars)].tolist())

    @property
    def written_out(self) -> bool:
        """Whether the chart has notes written out anywhere."""
        return any(harmony.written for harmony in self.harmonies)

    def chart_bar(self, laid: int) -> Bar:
        """The bar of the chart that a bar as laid is."""
        return self.graph.bars[int(self.of[laid])]

    def following(self, laid: int) -> list[int]:
        """The bars that may legally follow, played in the same manner; the nominal one first."""
        bar = int(self.of[laid])
        return [then + laid - bar for then in self.graph.successors[bar]]

    def may_follow(self, before: int, bar: int) -> bool:
        """Whether a bar may legally follow another, in whatever manner."""
        return int(self.of[bar]) in self.graph.successors[int(self.of[before])]


AHEAD = 4


def lay_out(graph: BarGraph, rhythm: Rhythm = "chart") -> Grid:
    """Positions of a song, for that rhythm."""
    manners = manners_of(graph) if rhythm == "chart" else (FREELY,)
    any_rhythm = rhythm == "any" or (rhythm == "chart" and graph.has_patterns)
    count = len(graph.bars)
    line, once = _along_the_line(graph)
    bar_x = np.concatenate([once + place * _length(graph, once) for place in range(len(manners))])
    order = np.concatenate([line + place * count for place in range(len(manners))])
    sound_of: dict[tuple[object, ...], int] = {}
    sounds = [
        sound_of.setdefault(
            (bar.spans, struck, bar.meter, bar.free, bar.held_ornaments), len(sound_of)
        )
        for bar in graph.bars
        for struck in [bar.strikes if bar.exact or AS_WRITTEN in manners else ()]
    ]
    number_of: dict[tuple[int, int], int] = {}
    harmonies: Harmonies = {}
    sorts: list[Positions] = []
    sort = np.zeros(len(order), np.intp)
    for laid in order.tolist():
        bar, manner = graph.bars[laid % count], manners[laid // count]
        sort[laid] = number_of.setdefault((sounds[laid % count], manner), len(sorts))
        if sort[laid] == len(sorts):
            sorts.append(positions_of(bar, graph, manner, harmonies, thirds=any_rhythm))
    chosen = [sorts[number] for number in sort[order].tolist()]
    counts = np.array([len(one.beat) for one in chosen])
    first, entry = np.zeros_like(sort), np.zeros_like(sort)
    first[order] = np.cumsum(counts) - counts
    entry[order] = first[order] + [one.entry for one in chosen]
    bars = np.repeat(order, counts)
    beat = np.concatenate([one.beat for one in chosen])
    kinds = np.concatenate([one.kind for one in chosen])
    signs = np.concatenate([one.sign for one in chosen])
    share = _WANTED_SHARE_FREELY if any_rhythm else _WANTED_SHARE
    through = np.cumsum(share[kinds])
    of = np.arange(len(order)) % count
    length = np.array([bar.seconds for bar in graph.bars])[of]
    rest_after, room = _rests(graph, bar_x, length)
    return Grid(
        graph=graph,
        rhythm=rhythm,
        any_rhythm=any_rhythm,
        x=bar_x[bars] + beat * np.array([bar.seconds_per_beat for bar in graph.bars])[of[bars]],
        beat=beat,
        bar=bars,
        harmony=np.concatenate([one.harmony for one in chosen]),
        kind=kinds,
        wanted_before=through - share[kinds],
        wanted_through=through,
        ahead=_ahead(kinds),
        bar_x=bar_x,
        bar_length=length,
        first=first,
        rest_after=rest_after,
        room=room,
        entry=entry,
        sound=sort[of],
        span=np.cumsum(np.concatenate(([0], (np.diff(signs) != 0) | (np.diff(bars) != 0)))),
        harmonies=tuple(harmony for _, harmony in harmonies.values()),
        of=of,
        manner=np.repeat(manners, count),
    )


def manners_of(graph: BarGraph) -> tuple[int, ...]:
    """The manners in which a song lies on the line."""
    if not graph.has_patterns:
        return (FREELY,)
    written_out = all(bar.exact for bar in graph.bars)
    return (AS_WRITTEN,) if written_out else (AS_WRITTEN, FREELY)


def _length(graph: BarGraph, bar_x: Floats) -> float:
    """Written seconds from the beginning of the line to where the song may lie once more."""
    last = int(bar_x.argmax())
    return float(bar_x[last]) + graph.bars[last].seconds + APART


def _along_the_line(graph: BarGraph) -> tuple[Ints, Floats]:
    """(N,) the bars as they lie along the line of time, and (N,) the place of each bar line."""
    written = set(graph.written)
    order = [*graph.written, *(bar.index for bar in graph.bars if bar.index not in written)]
    bar_x = np.zeros(len(order))
    x = 0.0
    for place, index in enumerate(order):
        if place >= len(written) and (place == len(written) or not _continues(graph, index)):
            x += APART
        bar_x[index] = x
        x += graph.bars[index].seconds
    return np.array(order, np.intp), bar_x


def is_rest(bar: Bar) -> bool:
    """Whether the chart wants nothing in the whole bar."""
    return all(span.chord is None for span in bar.spans)


def opening(graph: BarGraph) -> list[int]:
    """The first bar of the song and, as long as nothing is to be played, those after it."""
    bars = [graph.starts[0]]
    while is_rest(graph.bars[bars[-1]]):
        following = graph.successors[bars[-1]][:1]
        if not following or following[0] in bars:  # a passage of rests goes round and round
            break
        bars.append(following[0])
    return bars


def _rests(graph: BarGraph, bar_x: Floats, length: Floats) -> tuple[Ints, Floats]:
    """`rest_after` and `room` of each bar."""
    on_line = np.argsort(bar_x, kind="stable").tolist()
    rest_after, room = np.arange(len(on_line)), length.copy()
    resting = [is_rest(bar) for bar in graph.bars] * (len(on_line) // len(graph.bars))
    for bar, behind in zip(on_line[-2::-1], on_line[:0:-1], strict=True):
        if bar_x[bar] + length[bar] < bar_x[behind] - 1e-6:
            continue
        if resting[bar]:
            room[bar] += room[behind]
        if resting[behind]:
            rest_after[bar] = behind
    return rest_after, room


_WANTED_SHARE = np.array([0.0, 1.0, 1.0, 1.0, 0.3, 0.3, 0.0, 0.0, 0.0, 0.0])
_WANTED_SHARE_FREELY = np.array([0.0, 1.0, 1.0, 1.0, 0.6, 1.0, 0.1, 0.0, 0.0, 0.0])
"""How firmly each kind of position wants a strike: a pattern does, a metre only suggests.
Beside a pattern it suggests more, since there no more than the tempo of the chart is known."""


def _continues(graph: BarGraph, index: int) -> bool:
    """Whether a bar standing apart follows the bar before it in its own line."""
    bar, before = graph.bars[index], graph.bars[index - 1]
    return bar.place > 0 and before.alternative == bar.alternative


def _ahead(kinds: Ints) -> Ints:
    """The next `AHEAD` positions at which a strike is natural after each position."""
    natural = np.flatnonzero(np.isin(kinds, (*WANTED, BEAT)))
    if not len(natural):
        natural = np.arange(len(kinds))
    nxt = np.searchsorted(natural, np.arange(len(kinds)), side="right")
    ahead: Ints = natural[np.minimum(nxt[:, None] + np.arange(AHEAD), len(natural) - 1)]
    return ahead
