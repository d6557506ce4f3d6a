"""Which bars come again, so that they are a section?

Lines of a few bars that are alike are one letter; the longest row of lines that comes again
is a section, then the longest of what is left. The lines are cut where most of them come
again. Sections are named in the order in which they are first played.
"""

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import pairwise

LONGEST = 8
"""Lines of a section."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars of one section."""

    name: str
    first: int
    last: int
    """The first bar after it."""


def find_sections(bars: Sequence[Hashable], line: int) -> list[Stretch]:
    """All bars, in sections of whole lines; a rest of a line at either end is its own."""
    offset = max(range(min(line, len(bars))), key=lambda start: (_again(bars, line, start), -start))
    cuts = sorted({0, *range(offset, len(bars), line), len(bars)})
    lines = [tuple(bars[first:last]) for first, last in pairwise(cuts)]
    owners = _rows(lines)
    names: dict[Hashable, str] = {}
    found: list[Stretch] = []
    place = 0
    while place < len(lines):
        length, label = owners[place]
        name = names.setdefault(label, f"Part {_letter(len(names))}")
        found.append(Stretch(name, cuts[place], cuts[place + length]))
        place += length
    return found


def _again(bars: Sequence[Hashable], line: int, start: int) -> int:
    """Lines that come more than once if they are cut from there."""
    lines = [tuple(bars[k : k + line]) for k in range(start, len(bars) - line + 1, line)]
    return sum(count for count in Counter(lines).values() if count > 1)


def _rows(lines: Sequence[Hashable]) -> dict[int, tuple[int, Hashable]]:
    """For the first line of each section its number of lines and what makes it the same."""
    free = [True] * len(lines)
    owners: dict[int, tuple[int, Hashable]] = {}
    for length in range(max(1, min(LONGEST, len(lines) // 2)), 0, -1):
        rows: dict[tuple[Hashable, ...], list[int]] = {}
        for start in range(len(lines) - length + 1):
            row = tuple(lines[start : start + length])
            apart = not rows.get(row) or rows[row][-1] + length <= start
            if all(free[start : start + length]) and apart:
                rows.setdefault(row, []).append(start)
        for row, starts in sorted(rows.items(), key=lambda one: -len(one[1])):
            starts = [s for s in starts if all(free[s : s + length])]
            if len(starts) > 1 or length == 1:
                for start in starts:
                    owners[start] = (length, row)
                    free[start : start + length] = [False] * length
    return owners


def _letter(number: int) -> str:
    """A to Z, then AA."""
    rest, place = divmod(number, len(LETTERS))
    return (LETTERS[rest - 1] if rest else "") + LETTERS[place]
