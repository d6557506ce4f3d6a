"""Which strikes of which hand were made in the played bars, and against what are they held?

Notes are put together into strikes, and the strikes told apart by hand, twice: once by
register alone, to hear in which manner each hand plays and whether one is always behind the
other; then with what is to be expected of a hand that plays so.

Units: seconds of the take.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from statistics import median, quantiles
from typing import Final

from evaluator.chart.graph import HANDS, Bar, BarGraph, Hand
from evaluator.follow.path import Path
from evaluator.judge.hands import STRETCH, TOGETHER, HandStrike, Late, Wanted, split_hands
from evaluator.judge.hard_bars import hard_bars
from evaluator.judge.layout import Due, LaidBar, dues, lay_out
from evaluator.judge.manner import Manners, find_manners
from evaluator.judge.manner_places import as_played
from evaluator.judge.pieces import WITHIN, closing_pieces, join_pieces, join_rolls, nearest_due
from evaluator.judge.verdict import Manner
from evaluator.judge.written_hands import as_written, written_places
from evaluator.judge.written_notes import Matched, match_written
from evaluator.take.model import Take
from evaluator.take.strike import Strike, joined

APART: Final = 0.200
"""Strikes of the two hands so near to each other may be meant to sound together."""
BEHIND: Final = 0.050
"""A hand is behind the other from here on; nearer they are together for most ears."""
STEADILY: Final = 0.050
"""Between the quarters of the distances, where a hand is always so much behind,"""
ALWAYS: Final = 2 / 3
"""or this part of the distance, if that is more: of a hand that searches, anywhere from no delay
to twice the usual one, the quarters lie a whole distance apart."""
PLAINLY: Final = 0.1
"""Price for each strike up to which the pattern makes plain sense of the hands."""
NOTHING: Final[Wanted] = frozenset()
FEW: Final = 12
"""Pairs of strikes that show it."""
LEAST_SHARE: Final = 0.15
"""Of the strikes, for a hand to be there at all."""
CLEARLY: Final = 0.7
"""Part of the price of its manner that is left where a hand is held to be behind."""


@dataclass(frozen=True, slots=True)
class StruckBars:
    """What was struck in the played bars, and what was wanted there."""

    laid: tuple[LaidBar, ...]
    """With the strikes of the manner that each hand plays in."""
    due: tuple[Due, ...]
    matched: Matched
    """The hand strikes, and what is known of written notes."""
    stretches: list[int]
    """For each hand strike the stretch of playing that it is in."""
    bars: list[int]
    """For each hand strike the played bar in which the follower has it."""
    late: Late
    tune: frozenset[int]
    """Those hand strikes that are single notes of a tune above the chords."""
    hard: tuple[int, ...]
    """Played bars that are much slower than those around them, their indices in order."""

    @property
    def played(self) -> Sequence[HandStrike]:
        """Every hand strike, in order of time."""
        return self.matched.played


def struck_bars(
    graph: BarGraph,
    take: Take,
    strikes: Sequence[Strike],
    path: Path,
    *,
    only: Hand | None = None,
) -> StruckBars:
    """Everything that was struck in the bars of the path, hand by hand, and what was wanted.

    `strikes` are the take's own, to which the path's indices refer. `only`: the hand that plays
    alone, if that is known.
    """
    written = lay_out(graph, path)
    chosen, stretch = _inside(take, strikes, path, written)
    laid, late = written, TOGETHER
    rough: list[HandStrike] = []
    if graph.has_patterns:
        apart = partial(split_hands, take, chosen, transposed=path.transposed, only=only)
        rough, manners, late = _told_apart(graph, written, chosen, apart)
        laid = _as_played(graph, written, manners)
    due = dues(graph, laid)
    near = nearest_due(chosen, due, late)
    groups = join_pieces(take, chosen, near, due)
    firsts = [group[0] for group in groups]
    whole = [joined([chosen[piece] for piece in group], WITHIN) for group in groups]
    near = [near[first] for first in firsts]
    wanted = _wanted(graph, near, due)
    both = late != TOGETHER or _far_apart(rough)
    split = split_hands(take, whole, wanted, transposed=path.transposed, only=only, both=both)
    hands = as_written(split, written_places(laid, due, near))
    matched = match_written(take, laid, due, hands, [stretch[firsts[one.strike]] for one in hands])
    stretches = [stretch[firsts[one.strike]] for one in matched.played]
    of_note = _bars_of_notes(strikes, laid)
    bars = [of_note.get(one.notes[0], len(laid) - 1) for one in matched.played]
    tune = _tune(laid, matched.played)
    return StruckBars(laid, due, matched, stretches, bars, late, tune, hard_bars(laid))


def _bars_of_notes(strikes: Sequence[Strike], laid: Sequence[LaidBar]) -> dict[int, int]:
    """The played bar of every note; what comes after the last strike is the last bar's."""
    found: dict[int, int] = {}
    for index, bar in enumerate(laid):
        for strike in bar.played.struck:
            found.update(dict.fromkeys(strikes[strike].notes, index))
    return found


def _inside(
    take: Take, strikes: Sequence[Strike], path: Path, laid: Sequence[LaidBar]
) -> tuple[list[Strike], list[int]]:
    """Strikes within the played bars, in order, and the stretch of playing of each."""
    found: dict[int, int] = {}
    for bar in laid:
        for placed in bar.played.strikes:
            found[placed.strike] = bar.stretch
        for ornament in bar.played.ornaments:
            found.setdefault(ornament, bar.stretch)
    order = sorted(found)
    if order:
        closing = closing_pieces(strikes, order[-1], path.after, laid[-1].beat_seconds)
        found |= dict.fromkeys(closing, laid[-1].stretch)
        order += closing
    groups = join_rolls(take, [strikes[index] for index in order])
    whole = [joined([strikes[order[piece]] for piece in group], WITHIN) for group in groups]
    return whole, [found[order[group[0]]] for group in groups]


def _told_apart(
    graph: BarGraph,
    laid: Sequence[LaidBar],
    chosen: Sequence[Strike],
    apart: Callable[[Sequence[Wanted | None]], list[HandStrike]],
) -> tuple[list[HandStrike], Manners, Late]:
    """The hands' strikes with their manners: told apart by the pattern where that makes plain
    sense of both hands, else by register alone."""
    due = dues(graph, laid)
    rough = apart(_wanted(graph, nearest_due(chosen, due), due))
    manners, late = _heard_manners(graph, laid, rough)
    if manners.price + manners.silent <= PLAINLY * len(rough):
        return rough, manners, late
    rough = apart([NOTHING] * len(chosen))
    return rough, *_heard_manners(graph, laid, rough)


def _heard_manners(
    graph: BarGraph, laid: Sequence[LaidBar], rough: Sequence[HandStrike]
) -> tuple[Manners, Late]:
    """The manners, and whether a hand is always behind: where that makes plain sense of them."""
    best, late = find_manners(graph, laid, rough, TOGETHER), TOGETHER
    price = best.price
    for other in _may_be_late(laid, rough):
        found = find_manners(graph, laid, rough, other)
        if found.price < CLEARLY * price and found.price < best.price:
            best, late = found, other
    return best, late


def _may_be_late(laid: Sequence[LaidBar], rough: Sequence[HandStrike]) -> Iterator[Late]:
    """By how much each hand may always be late: by what lies between the hands where they
    strike together, or between a hand and its pattern where they never do."""
    distance = _distance(rough)
    if abs(distance) >= BEHIND:
        # The bar lines may be those of either hand, or lie between them.
        for left in (0.0, -distance, -distance / 2):
            yield {"left": left, "right": left + distance}
    off: Late = {hand: _off_the_pattern(laid, rough, hand) for hand in HANDS}
    if abs(off["right"] - off["left"]) >= BEHIND:
        yield off


def _off_the_pattern(laid: Sequence[LaidBar], rough: Sequence[HandStrike], hand: Hand) -> float:
    """Seconds by which a hand is usually late on the nearest strike of its pattern.

    Off the beat a hand that is early or late may only be one that swings otherwise.
    """
    starts = [bar.played.start for bar in laid]
    # Fractions are slow to reckon with.
    own = [[float(one.beat) for one in bar.bar.strikes if one.hand == hand] for bar in laid]
    found = []
    for strike in rough:
        if strike.hand != hand:
            continue
        at = max(0, bisect_right(starts, strike.time) - 1)
        late = [laid[at].beat_of(strike.time) - beat for beat in own[at]]
        near = min(range(len(late)), key=lambda place: abs(late[place]), default=None)
        if near is not None and own[at][near].is_integer():
            found.append(late[near] * laid[at].beat_seconds)
    return _usual([seconds for seconds in found if abs(seconds) <= APART])


def _far_apart(rough: Sequence[HandStrike]) -> bool:
    """Whether what was played lies farther apart than one hand reaches, on either side."""
    keys: dict[Hand, list[int]] = {hand: [] for hand in HANDS}
    for strike in rough:
        keys[strike.hand].append(strike.pitches[0])
    if min(map(len, keys.values())) < LEAST_SHARE * len(rough):
        return False
    return bool(rough) and median(keys["right"]) - median(keys["left"]) > STRETCH


def _distance(rough: Sequence[HandStrike]) -> float:
    """Seconds by which the right hand usually comes after the left; 0 if that changes."""
    times: dict[Hand, list[float]] = {hand: [] for hand in HANDS}
    for strike in rough:
        times[strike.hand].append(strike.time)
    found, at = [], 0
    right = sorted(times["right"])
    for time in sorted(times["left"]):
        while at + 1 < len(right) and abs(right[at + 1] - time) <= abs(right[at] - time):
            at += 1
        if right and abs(right[at] - time) <= APART:
            found.append(right[at] - time)
    return _usual(found)


def _usual(seconds: Sequence[float]) -> float:
    """What most of the times are; 0 if they are few, or too different."""
    if len(seconds) < FEW:
        return 0.0
    first, middle, third = quantiles(seconds, n=4)
    return middle if third - first <= max(STEADILY, ALWAYS * abs(middle)) else 0.0


def _as_played(graph: BarGraph, laid: Sequence[LaidBar], manners: Manners) -> tuple[LaidBar, ...]:
    known: dict[tuple[int, Manner, Manner], Bar] = {}
    found = []
    for index, bar in enumerate(laid):
        free = bar.bar.free
        hands: dict[Hand, Manner] = {
            hand: "free" if free else manners.of[hand][index] for hand in HANDS
        }
        key = (bar.bar.index, hands["left"], hands["right"])
        if key not in known:
            known[key] = as_played(bar.bar, hands, graph.swing)
        other = {hand: manner for hand, manner in hands.items() if manner != "pattern"}
        chords = any(one.hand == "right" and one.part == "chord" for one in known[key].strikes)
        tune = chords and manners.tune[index]
        found.append(replace(bar, bar=known[key], manners=other, tune=tune))
    return tuple(found)


def _tune(laid: Sequence[LaidBar], played: Sequence[HandStrike]) -> frozenset[int]:
    starts = [bar.played.start for bar in laid]
    return frozenset(
        index
        for index, strike in enumerate(played)
        if strike.hand == "right"
        and len(strike.pitches) == 1
        and laid[max(0, bisect_right(starts, strike.time) - 1)].tune
    )


def _wanted(graph: BarGraph, near: Sequence[int | None], due: Sequence[Due]) -> list[Wanted | None]:
    """The hands that are expected at each strike's place."""
    if not graph.has_patterns:
        return [None] * len(near)
    found: list[Wanted | None] = []
    for at in near:
        around = [] if at is None else due[max(0, at - 1) : at + 2]
        place = None if at is None else due[at].place
        found.append(frozenset(one.strike.hand for one in around if one.place == place))
    return found
