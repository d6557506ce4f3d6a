"""What do the two hands do in an invented song?

A left-hand habit (the root on one, on one and three, root and fifth in turn, a broken
chord, held) beside a right-hand habit (every beat, after-beats, eighths, a syncopation
of its own, a broken chord, held). Common practice of song accompaniment, no source.
"""

from dataclasses import dataclass

from tests.bench.dice import Dice

_LEFT = {"one": 3.0, "halves": 3.0, "turns": 1.5, "broken": 1.5, "beats": 0.8, "held": 1.0}
_RIGHT = {"beats": 2.0, "after": 2.0, "eighths": 1.2, "own": 4.0, "broken": 1.0, "held": 1.0}
_BROKEN_LEFT = ("1 5 8 5", "1 5 8 3", "1 3 5 3", "1 5 3 5")
_BROKEN_RIGHT = ("1 3 5 3", "5 3 1 3", "1 5 3 5", "3 5 1 5")
_SHORTEST = 0.125
"""Seconds between columns: what a student can be asked to play."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A bar's columns."""

    beats: int
    unit: int
    columns_a_beat: int
    compound: bool
    """6/8: the beats go in threes."""

    @property
    def columns(self) -> int:
        return self.beats * self.columns_a_beat

    @property
    def middle(self) -> int:
        """Column of the second half's beginning, on a beat: 3 of 4, 4 of 6, 4 of 5."""
        return self.beats // 2 * self.columns_a_beat + (self.beats % 2) * self.columns_a_beat

    @property
    def pulses(self) -> list[int]:
        """Columns on which one would tap a foot."""
        step = 3 if self.compound else 1
        return list(range(0, self.columns, step * self.columns_a_beat))


def grid(dice: Dice, meter: tuple[int, int], tempo: float, *, swung: bool) -> Grid:
    """Columns fine enough for the style and no faster than a student can play."""
    beats, unit = meter
    compound = unit == 8 and beats % 3 == 0
    choices = {1: 0.5, 2: 0.5} if compound else {1: 0.8, 2: 4.0, 4: 0.6}
    if swung:
        choices = {2: 1.0}
    fit = {n: share for n, share in choices.items() if 60 / tempo / n >= _SHORTEST}
    return Grid(beats, unit, dice.weigh(fit or {1: 1.0}), compound)


def pattern(dice: Dice, name: str, grid: Grid, *, meter: str = "") -> list[str]:
    """The lines of one pattern; with a `meter` it is for bars of that meter."""
    left = _LEFT_HAND[dice.weigh(_LEFT)](dice, grid)
    right = _right_hand(dice, grid)
    count = [
        str(place // grid.columns_a_beat + 1) if place % grid.columns_a_beat == 0 else "."
        for place in range(grid.columns)
    ]
    rows = {"count": count, "left": left, "right": right}
    head = f"pattern {name} {meter}".rstrip()
    lines = [head, *(f"  {row:<5} | {' '.join(signs)} |" for row, signs in rows.items())]
    if any(sign in "358" for sign in left) and dice.chance(0.3):
        lines.append("  bass: as written")
    return lines


def _at(grid: Grid, places: list[int], signs: str = "x") -> list[str]:
    row = ["."] * grid.columns
    wanted = signs.split()
    for turn, place in enumerate(places):
        row[place] = wanted[turn % len(wanted)]
    return row


def _held(dice: Dice, grid: Grid) -> list[str]:
    return ["x"] + ["-"] * (grid.columns - 1)


def _broken(dice: Dice, grid: Grid, figures: tuple[str, ...]) -> list[str]:
    """Every beat, or every half beat where a beat is long."""
    step = max(1, grid.columns_a_beat // 2)
    return _at(grid, list(range(0, grid.columns, step)), dice.pick(figures))


_LEFT_HAND = {
    "one": lambda dice, grid: _at(grid, [0]),
    "halves": lambda dice, grid: _at(grid, [0, grid.middle]),
    "turns": lambda dice, grid: _at(grid, [0, grid.middle], "1 5"),
    "broken": lambda dice, grid: _broken(dice, grid, _BROKEN_LEFT),
    "beats": lambda dice, grid: _at(grid, grid.pulses),
    "held": _held,
}


def _right_hand(dice: Dice, grid: Grid) -> list[str]:
    habit = dice.weigh(_RIGHT)
    if habit == "held":
        return _held(dice, grid)
    if habit == "broken":
        return _broken(dice, grid, _BROKEN_RIGHT)
    if habit == "own":
        return _own(dice, grid)
    if habit == "eighths":
        return _at(grid, list(range(0, grid.columns, max(1, grid.columns_a_beat // 2))))
    return _at(grid, grid.pulses[1:] if habit == "after" and grid.pulses[1:] else grid.pulses)


def _own(dice: Dice, grid: Grid) -> list[str]:
    """Two to six strikes anywhere, beats likelier than what lies between."""
    likely = {c: 2.0 if c in grid.pulses else 1.0 for c in range(grid.columns)}
    places: set[int] = set()
    for _ in range(dice.count(2, 6)):
        places.add(dice.weigh(likely))
    return _at(grid, sorted(places))
