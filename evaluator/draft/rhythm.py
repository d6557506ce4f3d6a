"""Which pattern did each hand play, and was it swung?

The bars of the usual meter are laid over each other. A column that most of them strike
belongs to the pattern; what is struck there most often is its sign. The grid is the coarsest
on which nearly all strikes stand. Off-beats that come late in the same way all through are
swung. A section whose bars are plainly otherwise has a pattern of its own. Where no pattern
accounts for what was played there is none: a chart with a wrong one accuses of everything.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from evaluator.chart.graph import Hand
from evaluator.chart.values import FREE
from evaluator.draft.bars import PlayedBar, PlayedSpan
from evaluator.draft.hands import EARLY, Played, Struck
from evaluator.draft.model import BassRule, DraftPattern
from evaluator.theory.symbol import ChordSymbol

_GRIDS = (1, 2, 3, 4)
"""Columns a beat, the plainest first."""
_OFF_GRID = 0.1
"""Beats from a column, within which a strike stands on it."""
_ON_GRID = 0.93
"""Share of the strikes that stand on the grid, for it to be fine enough."""
_LEAST_BARS, _LEAST_OF_ITS_OWN = 2, 4
_USUAL = 0.5
"""Share of the bars in which a column is struck, for it to belong to the pattern."""
_FAITHFUL = 0.85
"""Share of strikes and columns that agree, for a pattern to be written down."""
_FREELY = 0.7
"""A section is free that agrees with less than this."""
_OWN = 0.8
"""A section has its own pattern if the usual one agrees with less than this, and its own more."""
_SWINGS = (Fraction(1), Fraction(3, 2), Fraction(5, 3), Fraction(2), Fraction(3))
_SWUNG = 0.555
"""Place of the off-beat from which it is late on purpose: 5:4 (Friberg & Sundstrom, 2002,
"Swing ratios and ensemble timing in jazz performance": soloists go down to about 1.2:1)."""
_OFF_BEATS = (0.42, 0.8)
_LEAST_OFF_BEATS = 8
_DEGREES = ("1", "3", "5", "7")
_SIGNS = ("x", *_DEGREES)
"""The likelier first, where a strike may be read in several ways."""
OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Rhythm:
    """What the hands do in a bar."""

    patterns: tuple[DraftPattern, ...]
    of_section: Mapping[int, str]
    """Pattern of each section visit, where there is one."""
    swing: Fraction
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A strike in its bar."""

    hand: Hand
    beat: float
    """From the bar's beginning."""
    pitches: tuple[int, ...]
    span: PlayedSpan


_BarCells = Sequence[_Cell]


def find_rhythm(
    bars: Sequence[PlayedBar],
    sections: Sequence[int],
    played: Played,
    beats: int,
    rules: Sequence[BassRule],
) -> Rhythm:
    """The patterns of a take; `sections` is the section visit of each bar."""
    basses = {rule.chord: rule.note.pc for rule in rules}
    swing = _swing(played)
    usual = [place for place, bar in enumerate(bars[:-1]) if bar.beats == beats]
    cells = {place: _cells(bars[place], played, swing) for place in usual}
    grid = _grid([cell for place in usual for cell in cells[place]])
    if grid is None or len(usual) < _LEAST_BARS:
        return Rhythm((), {}, swing, ("no pattern was found that the hands keep to",))
    columns = grid * beats
    reader = _Reader(columns, grid, basses)
    whole = reader.pattern([cells[place] for place in usual])
    patterns: list[tuple[tuple[str, ...], tuple[str, ...]]] = [whole]
    chosen: dict[int, int] = {}
    for section in dict.fromkeys(sections):
        own = [cells[place] for place in usual if sections[place] == section]
        chosen[section] = reader.choose(own, patterns)
    return _named(reader, patterns, chosen, cells, (sections, swing))


def _named(
    reader: "_Reader",
    patterns: Sequence[tuple[tuple[str, ...], tuple[str, ...]]],
    chosen: Mapping[int, int],
    cells: Mapping[int, _BarCells],
    about: tuple[Sequence[int], Fraction],
) -> Rhythm:
    """Names for the patterns that are kept to; none where they are not."""
    sections, swing = about
    of_section: dict[int, list[_BarCells]] = defaultdict(list)
    for place, bar in cells.items():
        of_section[sections[place]].append(bar)
    kept = {
        section: reader.kept(bars, patterns[chosen[section]])
        for section, bars in of_section.items()
    }
    free = {section for section, faithful in kept.items() if faithful < _FREELY}
    bars = [
        (patterns[chosen[sections[n]]], bar) for n, bar in cells.items() if sections[n] not in free
    ]
    if not bars or np.mean([reader.kept([bar], one) for one, bar in bars]) < _FAITHFUL:
        said = "the hands keep to no pattern for long, so none is written: the rhythm is free"
        return Rhythm((), {}, swing, (said,))
    used = Counter(place for section, place in chosen.items() if section not in free)
    order = [place for place, _ in used.most_common()]
    names = {place: f"hands{'' if rank == 0 else rank + 1}" for rank, place in enumerate(order)}
    written = tuple(DraftPattern(names[place], *patterns[place]) for place in order)
    named = {n: FREE if n in free else names[place] for n, place in chosen.items()}
    return Rhythm(written, named, swing, ())


def _swing(played: Played) -> Fraction:
    """Long to short eighth."""
    places = np.array([strike.at % 1.0 for strike in played.strikes])
    off = places[(places > _OFF_BEATS[0]) & (places < _OFF_BEATS[1])]
    early = np.sum((places > 1 - _OFF_BEATS[1]) & (places < _OFF_BEATS[0]))
    if len(off) < _LEAST_OFF_BEATS or early > len(off) / 4:
        return Fraction(1)
    middle = float(np.median(off))
    if middle < _SWUNG or np.mean(np.abs(off - middle) < _OFF_GRID) < _ON_GRID:
        return Fraction(1)
    return min(_SWINGS[1:], key=lambda ratio: abs(float(ratio / (1 + ratio)) - middle))


def _cells(bar: PlayedBar, played: Played, swing: Fraction) -> list[_Cell]:
    found = []
    for strike in played.between(bar.first - EARLY, bar.first + bar.beats - EARLY):
        beat = max(0.0, _unswung(strike.at, swing) - bar.first)
        found.append(_Cell(strike.hand, beat, strike.pitches, _span_at(bar, strike)))
    return found


def _span_at(bar: PlayedBar, strike: Struck) -> PlayedSpan:
    for span in reversed(bar.spans):
        if span.first - EARLY <= strike.at:
            return span
    return bar.spans[0]


def _unswung(at: float, swing: Fraction) -> float:
    """Where a strike would stand if the eighths were straight."""
    if swing == 1:
        return at
    off = float(swing / (1 + swing))
    beat, place = divmod(at, 1.0)
    return beat + (place / off / 2 if place < off else 1 - (1 - place) / (1 - off) / 2)


def _grid(cells: Sequence[_Cell]) -> int | None:
    """Columns a beat."""
    if not cells:
        return None
    beats = np.array([cell.beat for cell in cells])
    for grid in _GRIDS:
        off = np.abs(beats * grid - np.round(beats * grid)) / grid
        if np.mean(off <= min(_OFF_GRID, 0.35 / grid)) >= _ON_GRID:
            return grid
    return None


class _Reader:
    """Reads patterns off bars that lie over each other."""

    def __init__(self, columns: int, grid: int, basses: Mapping[ChordSymbol, int]) -> None:
        self._columns, self._grid, self._basses = columns, grid, basses

    def pattern(self, bars: Sequence[_BarCells]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Left and right."""
        return self._row(bars, "left"), self._row(bars, "right")

    def choose(
        self,
        bars: Sequence[_BarCells],
        patterns: list[tuple[tuple[str, ...], tuple[str, ...]]],
    ) -> int:
        """The pattern of a section, a new one where none of the others will do."""
        if not bars:
            return 0
        rated = [self.agreement(bars, pattern) for pattern in patterns]
        best = int(np.argmax(rated))
        if rated[best] >= _OWN or len(bars) < _LEAST_OF_ITS_OWN:
            return best
        own = self.pattern(bars)
        if self.agreement(bars, own) < _FAITHFUL or self._together(own) in map(
            self._together, patterns
        ):
            return best
        patterns.append(own)
        return len(patterns) - 1

    def agreement(
        self, bars: Sequence[_BarCells], pattern: tuple[tuple[str, ...], tuple[str, ...]]
    ) -> float:
        """Strikes that the bars and the pattern have in common, of those that either has."""
        common = either = 0
        for bar in bars:
            for hand, row in zip(("left", "right"), pattern, strict=True):
                wanted = _places(row)
                struck = set(self._struck(bar, hand))
                if hand == "left":  # the bass follows the chord
                    struck -= self._changes(bar) - wanted
                common += len(wanted & struck)
                either += len(wanted | struck)
        return common / either if either else 0.0

    def kept(
        self, bars: Sequence[_BarCells], pattern: tuple[tuple[str, ...], tuple[str, ...]]
    ) -> float:
        """The same, or for both hands together, whichever is more.

        Hands that come close to each other cannot always be told apart.
        """
        wanted = self._together(pattern)
        common = either = 0
        for bar in bars:
            struck = {self._column(cell.beat) for cell in bar}
            struck -= self._changes(bar) - wanted
            common += len(wanted & struck)
            either += len(wanted | struck)
        return max(self.agreement(bars, pattern), common / either if either else 0.0)

    @staticmethod
    def _together(pattern: tuple[tuple[str, ...], tuple[str, ...]]) -> set[int]:
        """When either hand strikes."""
        left, right = pattern
        return _places(left) | _places(right)

    def _column(self, beat: float) -> int:
        return min(self._columns - 1, round(beat * self._grid))

    def _struck(self, bar: _BarCells, hand: str) -> dict[int, _Cell]:
        return {self._column(cell.beat): cell for cell in bar if cell.hand == hand}

    def _changes(self, bar: _BarCells) -> set[int]:
        if not bar:
            return set()
        begin = min(cell.span.first for cell in bar)
        return {(cell.span.first - begin) * self._grid for cell in bar} - {0}

    def _row(self, bars: Sequence[_BarCells], hand: Hand) -> tuple[str, ...]:
        plain = [bar for bar in bars if not self._changes(bar)] or bars
        signs: list[Counter[str]] = [Counter() for _ in range(self._columns)]
        strikes = [0] * self._columns
        for bar in plain:
            for column, cell in self._struck(bar, hand).items():
                strikes[column] += 1
                signs[column].update(self._signs(cell, bar))
        return tuple(
            _likeliest(found) if often > _USUAL * len(plain) else "."
            for found, often in zip(signs, strikes, strict=True)
        )

    def _signs(self, cell: _Cell, bar: _BarCells) -> set[str]:
        """What a strike may be in the words of a pattern."""
        chord = cell.span.chord
        pcs = {pitch % 12 for pitch in cell.pitches}
        if chord is None or len(pcs) > 1:
            return {"x"}
        (pc,) = pcs
        signs = {sign for sign in _DEGREES if chord.degree(int(sign)) == pc}
        if cell.hand == "left" and pc == self._basses.get(chord, chord.bass_pc):
            low = min(one.pitches[0] for one in bar if one.hand == "left")
            signs |= {"x", "8"} if cell.pitches[0] - low >= OCTAVE else {"x"}
        return signs or {"x"}


def _places(row: Sequence[str]) -> set[int]:
    """Columns in which a hand strikes."""
    return {place for place, sign in enumerate(row) if sign not in ".-"}


def _likeliest(found: Counter[str]) -> str:
    """The sign that most strikes of a column can be read as; the bass an octave up only where
    it nearly always was."""
    sign = max(_SIGNS, key=found.__getitem__)
    return "8" if sign == "x" and found["8"] >= _ON_GRID * found["x"] else sign
