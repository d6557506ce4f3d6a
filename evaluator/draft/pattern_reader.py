"""Which strikes of a hand make its pattern, and how closely do bars keep to one?

Bars of one meter are laid over each other. A column that most of them strike belongs to the
pattern; what is struck there most often is its sign.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from evaluator.chart.graph import Hand
from evaluator.draft.bars import PlayedSpan
from evaluator.take.strike import OCTAVE
from evaluator.theory.symbol import ChordSymbol

_USUAL = 0.5
"""Share of the bars in which a column is struck, for it to belong to the pattern."""
_NEARLY_ALWAYS = 0.93
"""Share of a column's strikes that are an octave up, for the pattern to say so."""
_DEGREES = ("1", "3", "5", "7")
_SIGNS = ("x", *_DEGREES)
"""The likelier first, where a strike may be read in several ways."""
Hands = tuple[tuple[str, ...], tuple[str, ...]]
"""A pattern: the signs of the left hand and of the right, one a column."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A strike in its bar."""

    hand: Hand
    beat: float
    """From the bar's beginning."""
    pitches: tuple[int, ...]
    span: PlayedSpan


BarCells = Sequence[Cell]


class PatternReader:
    """Reads patterns off bars that lie over each other."""

    def __init__(self, columns: int, grid: int, basses: Mapping[ChordSymbol, int]) -> None:
        self._columns, self._grid, self._basses = columns, grid, basses

    def pattern(self, bars: Sequence[BarCells]) -> Hands:
        """Left and right."""
        return self._row(bars, "left"), self._row(bars, "right")

    def agreement(self, bars: Sequence[BarCells], pattern: Hands) -> float:
        """Strikes that the bars and the pattern have in common, of those that either has."""
        left, right = map(_places, pattern)
        rows = []
        for bar in bars:
            # The bass follows the chord.
            struck = set(self._struck(bar, "left")) - (self._changes(bar) - left)
            rows += [(left, struck), (right, set(self._struck(bar, "right")))]
        return _in_common(rows)

    def kept(self, bars: Sequence[BarCells], pattern: Hands) -> float:
        """The same, or for both hands together, whichever is more.

        Hands that come close to each other cannot always be told apart.
        """
        wanted = self.together(pattern)
        rows = [
            (wanted, {self._column(cell.beat) for cell in bar} - (self._changes(bar) - wanted))
            for bar in bars
        ]
        return max(self.agreement(bars, pattern), _in_common(rows))

    @staticmethod
    def together(pattern: Hands) -> set[int]:
        """When either hand strikes."""
        left, right = pattern
        return _places(left) | _places(right)

    def _column(self, beat: float) -> int:
        return min(self._columns - 1, round(beat * self._grid))

    def _struck(self, bar: BarCells, hand: str) -> dict[int, Cell]:
        return {self._column(cell.beat): cell for cell in bar if cell.hand == hand}

    def _changes(self, bar: BarCells) -> set[int]:
        if not bar:
            return set()
        begin = min(cell.span.first for cell in bar)
        return {(cell.span.first - begin) * self._grid for cell in bar} - {0}

    def _row(self, bars: Sequence[BarCells], hand: Hand) -> tuple[str, ...]:
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

    def _signs(self, cell: Cell, bar: BarCells) -> set[str]:
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


def _in_common(rows: Sequence[tuple[set[int], set[int]]]) -> float:
    """Columns that are wanted and struck, of those that are either, over all rows."""
    either = sum(len(wanted | struck) for wanted, struck in rows)
    return sum(len(wanted & struck) for wanted, struck in rows) / either if either else 0.0


def _places(row: Sequence[str]) -> set[int]:
    """Columns in which a hand strikes."""
    return {place for place, sign in enumerate(row) if sign not in ".-"}


def _likeliest(found: Counter[str]) -> str:
    """The sign that most strikes of a column can be read as; the bass an octave up only where
    it nearly always was."""
    sign = max(_SIGNS, key=found.__getitem__)
    return "8" if sign == "x" and found["8"] >= _NEARLY_ALWAYS * found["x"] else sign
