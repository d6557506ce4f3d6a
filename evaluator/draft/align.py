"""On which beat of the take does each chord of the sheet begin, and where are the bar lines?

A chord sheet is a sequence without times: the likeliest way through it that the take can
have gone, by dynamic programming over beats. The state is the chord of the sheet and the
place in the bar. Chords change at bar lines, less often in the middle of a bar, seldom
elsewhere; a line of the sheet begins with a bar; a bar may be short, at a price. At the end
of a line the sheet may be left: a line sung again (a vamp), a section that comes again, one
that was left out, each at its price, so that a sheet need not spell out the form.

Viterbi, "Error bounds for convolutional codes ...", IEEE Trans. Inf. Theory 13(2), 1967.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from evaluator.draft.heard import Heard
from evaluator.draft.roles import RoleHabits
from evaluator.draft.route import Route

_NEVER = -1e9
NO_WAY = -1e8
"""A score below is of no way at all."""
_AT_BAR, _MIDDLE, _ELSEWHERE, _BEFORE_BAR = 0.62, 0.2, 0.03, 0.05
"""How likely a chord of the sheet gives way to the next at a place of the bar."""
_KNOWN_BARS = 20.0
"""Bars that this counts for beside the changes of the song. Chosen on twenty annotated songs."""
_BASS_AT_BAR, _BASS_IN_MIDDLE, _BASS_ELSEWHERE = 0.85, 0.5, 0.3
"""How likely the bass is struck there."""
_SHORT_BAR = -7.0
_LINE_WITHIN_BAR = -5.0
_BARE_CHANGE = -2.0
"""A chord that begins without a bass note."""
_UPBEAT = -5.0
_ANTICIPATED = -0.35
"""The next chord struck half a beat before it is due."""
_USUAL_COUNTS = 1.5
"""Sections of a name that where chords usually begin counts for beside where one does in them.
Chosen on invented songs that nothing is reported on."""
_BROKEN_OFF = -30.0
"""A take that ends before the sheet does."""
_VAMP, _LINE_AGAIN, _SECTION_JUMP, _LINE_LEFT_OUT = -2.0, -9.0, -12.0, -14.0
_LEFT_OUT = -12.0
"""For each section that is not played at all, beside the jump over it."""
_SPELT_OUT = 3.0
"""So many times as much where a section stands on the sheet more than once: it spells out its
form, and whoever leaves it plays something else."""


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """A way through the sheet."""

    places: np.ndarray
    """(n,) place in the route's chords, for each beat."""
    in_bar: np.ndarray
    """(n,) beat of the bar, from 0."""
    score: float


def align(heard: Heard, likely: np.ndarray, route: Route, bar: int) -> Alignment:
    """The likeliest way, in bars of `bar` beats; `likely` as `fits` gives it."""
    halves, bass = likely[0::2] + likely[1::2], bass_gains(heard, bar)
    chords = np.array(route.chords)

    def fit(beat: int) -> np.ndarray:
        return np.asarray(halves[beat, chords, None] + bass[beat])

    prices = _Prices(fit, _bare(heard).__getitem__, change_chances(bar))
    return _through_all(_Aligner(likely, route, prices), route)


def align_again(
    likely: np.ndarray, route: Route, first: Alignment, usual: RoleHabits, *, as_elsewhere: bool
) -> Alignment:
    """The way looked for once more, by the habits of the hands that the first way shows.

    `as_elsewhere`: and by where each chord begins in the other sections of its name, which only
    tells something once the habits have placed them.
    """
    owners = np.array(route.alike)[route.owners()]
    # A chord is asked for once, wherever it stands in the sections of one name.
    count = max(route.chords) + 1
    kinds, of_place = np.unique(owners * count + route.chords, return_inverse=True)
    usual, bare = usual.of(*np.divmod(kinds, count)), _bare(usual.heard)

    def fit(beat: int) -> np.ndarray:
        return np.asarray(usual.likely(beat)[0, of_place])

    def begun(beat: int) -> np.ndarray:
        return np.asarray(usual.begun(beat)[0, of_place] + bare[beat])

    change = usual.regular * change_chances(usual.bar)
    change += (1 - usual.regular) * changes_in(first, usual.bar)
    gained = gained_elsewhere(first, route, change) if as_elsewhere else 0.0
    return _through_all(_Aligner(likely, route, _Prices(fit, begun, change, gained)), route)


def _through_all(aligner: "_Aligner", route: Route) -> Alignment:
    """The likeliest way, or one that skips none of the sections that it leaves out altogether,
    if that is about as likely: a sheet has no section that nobody plays."""
    way, lines = aligner.way(), np.arange(len(route.lines))
    left_out = sorted(set(route.sections) - set(route.owners()[way.places].tolist()))
    for section in left_out:
        before, after = (
            np.searchsorted(route.sections, section, side) for side in ("left", "right")
        )
        aligner.costs[np.ix_(lines < before, lines >= after)] = _NEVER
    other = aligner.way() if left_out else way
    return other if other.score > way.score + _LEFT_OUT * len(left_out) else way


def _bare(heard: Heard) -> np.ndarray:
    """(n,) what a change costs on each beat for want of a bass note."""
    on_beat, before = heard.left[0::2], np.append(False, heard.left[1:-1:2])
    return np.where(on_beat | before, 0.0, _BARE_CHANGE)


def gained_elsewhere(way: Alignment, route: Route, change: np.ndarray) -> np.ndarray:
    """(chords, bar) what there is for a chord of the route that begins at a beat of the bar at
    which it does in other sections of its name, as a logarithm: a line is mostly played alike."""
    twins = np.unique(route.twins(), axis=0, return_inverse=True)[1].ravel()
    begun, of_all = np.zeros((2, len(twins), len(change)))
    new = np.flatnonzero(np.diff(way.places)) + 1
    np.add.at(begun, (way.places[new], way.in_bar[new]), 1.0)
    np.add.at(of_all, twins, begun)
    others, usual = of_all[twins] - begun, change / change.sum()
    counts = others.sum(axis=1, keepdims=True) + _USUAL_COUNTS
    return np.asarray(np.log((others + _USUAL_COUNTS * usual) / counts / usual))


def change_chances(bar: int) -> np.ndarray:
    """(bar,) how likely a chord begins at each beat of a bar, if not the one before goes on."""
    chances = np.full(bar, _ELSEWHERE)
    chances[-1] = _BEFORE_BAR if bar > 2 else _MIDDLE
    if bar % 2 == 0:
        chances[bar // 2] = _MIDDLE
    chances[0] = _AT_BAR
    return chances


def changes_in(way: Alignment, bar: int) -> np.ndarray:
    """(bar,) the same, as a way through the song shows it.

    One player's chords all change with the bar, another's often on the third beat.
    """
    changed = way.in_bar[1:][np.diff(way.places) != 0]
    often, beats = (np.bincount(of, minlength=bar) for of in (changed, way.in_bar))
    known = _KNOWN_BARS * change_chances(bar)
    return np.asarray((often + known) / (beats + _KNOWN_BARS))


def bass_gains(heard: Heard, bar: int) -> np.ndarray:
    """(n, bar) log likelihood of a bass note, or none, at the beat's place in the bar."""
    chances = np.full(bar, _BASS_ELSEWHERE)
    if bar % 2 == 0:
        chances[bar // 2] = _BASS_IN_MIDDLE
    chances[0] = _BASS_AT_BAR
    struck = heard.deep[0::2, None]
    return np.asarray(np.where(struck, np.log(chances), np.log(1 - chances)))


@dataclass(frozen=True, slots=True, eq=False)
class _Prices:
    """What a way is rated by, beside the order of the chords."""

    fit: Callable[[int], np.ndarray]
    """(chords, bar) of a beat: log likelihood of what was struck in it."""
    begun: Callable[[int], np.ndarray]
    """What is added where a chord begins with a beat: of one shape with `fit`, or for any."""
    chances: np.ndarray
    """(bar,) how likely a chord begins at each beat of the bar."""
    gained: np.ndarray | float = 0.0
    """(chords, bar) what there is for the beat at which each begins, or for any."""


class _Aligner:
    def __init__(self, likely: np.ndarray, route: Route, prices: _Prices) -> None:
        self.emitted, self.begun = prices.fit, prices.begun
        self.bar, self.count = len(prices.chances), len(likely) // 2
        chords = np.array(route.chords)
        self.second = likely[1::2][:, chords]
        self.change = np.log(prices.chances) + prices.gained
        self.stay = np.log(1 - prices.chances)
        self.starts = np.array(route.lines)
        self.ends = np.append(self.starts[1:], len(chords)) - 1
        self.costs = line_costs(route)
        self.back = np.zeros((self.count, len(chords), self.bar), dtype=np.int32)

    def way(self) -> Alignment:
        values = np.full((len(self.second[0]), self.bar), _NEVER)
        values[self.starts[0]] = _UPBEAT
        values[self.starts[0], 0] = 0.0
        values += self.emitted(0)
        for beat in range(1, self.count):
            values = self._step(values, beat)
        ends = (
            values + np.where(np.arange(len(values)) < len(values) - 1, _BROKEN_OFF, 0.0)[:, None]
        )
        if values[-1].max() < NO_WAY:  # there are not beats enough
            ends[:-1] = _NEVER
        place, at = (int(k) for k in np.unravel_index(int(ends.argmax()), ends.shape))
        score = float(ends[place, at])
        places, in_bar = [place], [at]
        for beat in range(self.count - 1, 0, -1):
            place, at = divmod(int(self.back[beat, place, at]), self.bar)
            places.append(place)
            in_bar.append(at)
        return Alignment(np.array(places[::-1]), np.array(in_bar[::-1]), score)

    def _step(self, values: np.ndarray, beat: int) -> np.ndarray:
        """Every state one beat later, and where it came from."""
        onward, was = self._in_bar(values)
        rows = np.arange(len(values))[:, None]
        came = rows * self.bar + was
        stays = onward + self.stay
        moves = np.full_like(values, _NEVER)
        moved = came.copy()
        early = self._early(beat - 1, rows[:-1, 0], rows[1:, 0])
        moves[1:] = onward[:-1] + early[:, None]
        moved[1:] = came[:-1]
        self._between_lines(onward, came, beat - 1, moves, moved)
        moves = moves + self.change + self.begun(beat)
        takes = moves > stays
        self.back[beat] = np.where(takes, moved, came)
        return np.asarray(np.where(takes, moves, stays) + self.emitted(beat))

    def _in_bar(self, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The next beat of the bar, or of a new one after a short bar; and the beat before."""
        onward = np.roll(values, 1, axis=1)
        was = np.broadcast_to((np.arange(self.bar) - 1) % self.bar, values.shape).copy()
        if self.bar > 2:
            short = values[:, 1:-1]
            best = short.argmax(axis=1)
            value = short[np.arange(len(values)), best] + _SHORT_BAR
            use = value > onward[:, 0]
            onward[use, 0] = value[use]
            was[use, 0] = best[use] + 1
        return onward, was

    def _early(self, beat: int, before: np.ndarray, after: np.ndarray) -> np.ndarray:
        """What is gained where the second half of a beat has the next chord already."""
        gained = self.second[beat, after] + _ANTICIPATED - self.second[beat, before]
        return np.asarray(np.maximum(gained, 0.0))

    def _between_lines(
        self,
        onward: np.ndarray,
        came: np.ndarray,
        beat: int,
        moves: np.ndarray,
        moved: np.ndarray,
    ) -> None:
        """From the end of any line to the beginning of any, at its price."""
        ends, starts = self.ends, self.starts
        early = self._early(beat, ends[:, None], starts[None, :])
        reached = onward[ends][:, None, :] + (self.costs + early)[:, :, None]
        best = reached.argmax(axis=0)
        moves[starts] = np.take_along_axis(reached, best[None], axis=0)[0]
        moves[starts, 1:] += _LINE_WITHIN_BAR
        moved[starts] = np.take_along_axis(came[ends], best, axis=0)


def line_costs(route: Route) -> np.ndarray:
    """(lines, lines): what it costs to go from the end of one to the beginning of another."""
    count = len(route.lines)
    sections = np.array(route.sections)
    begins = np.append(True, sections[1:] != sections[:-1])
    costs = np.full((count, count), _NEVER)
    ends_section = np.append(begins[1:], True)
    costs[np.ix_(ends_section, begins)] = _SECTION_JUMP
    lines = np.arange(count)
    costs[lines, lines] = np.where(begins & ends_section, _VAMP, _LINE_AGAIN)
    costs[lines[:-2], lines[2:]] = np.maximum(costs[lines[:-2], lines[2:]], _LINE_LEFT_OUT)
    if len(set(route.alike)) < len(route.alike):
        costs *= _SPELT_OUT
    costs[lines[:-1], lines[1:]] = 0.0
    return costs
