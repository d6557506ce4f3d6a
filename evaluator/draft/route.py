"""In which order does a sheet want its chords, line by line?"""

from dataclasses import dataclass

import numpy as np

from evaluator.draft.sheet import Sheet, SheetLine, SheetSection
from evaluator.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class Route:
    """The sheet's chords in one row, and where its lines and sections begin."""

    chords: tuple[int, ...]
    """Numbers of chords, columns of the likelihoods."""
    lines: tuple[int, ...]
    """Place in `chords` at which each line begins."""
    sections: tuple[int, ...]
    """Which section each line belongs to."""
    alike: tuple[int, ...]
    """For each section the first one that is the same, by its name or its chords."""

    def owners(self) -> np.ndarray:
        """(chords,) the section that each chord belongs to."""
        ends = [*self.lines[1:], len(self.chords)]
        lengths = [end - start for start, end in zip(self.lines, ends, strict=True)]
        return np.asarray(np.repeat(np.array(self.sections), lengths))

    def twins(self) -> list[tuple[int, int]]:
        """For each chord its place in its section, alike for all sections of one name."""
        owners = self.owners()
        begins = np.array([int(np.argmax(owners == owner)) for owner in owners])
        offsets = np.arange(len(owners)) - begins
        return list(zip(np.array(self.alike)[owners].tolist(), offsets.tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class SheetRoute:
    """A sheet as one row of chords."""

    route: Route
    chords: tuple[ChordSymbol | None, ...]
    """Those that the numbers of the route stand for."""
    lines: tuple[SheetLine, ...]
    sections: tuple[SheetSection, ...]

    def line_of(self, place: int) -> int:
        """Number of the line in which a chord of the route stands."""
        return max(number for number, start in enumerate(self.route.lines) if start <= place)

    def chord_at(self, place: int) -> ChordSymbol | None:
        return self.chords[self.route.chords[place]]


def sheet_route(sheet: Sheet) -> SheetRoute:
    """The route through a sheet; a line that comes twice stands there twice."""
    chords: dict[ChordSymbol | None, int] = {}
    row: list[int] = []
    starts: list[int] = []
    lines: list[SheetLine] = []
    owners: list[int] = []
    for number, section in enumerate(sheet.sections):
        for line in section.lines:
            for _ in range(line.count):
                starts.append(len(row))
                lines.append(line)
                owners.append(number)
                row += [chords.setdefault(chord, len(chords)) for chord in line.chords]
    alike = tuple(
        next(first for first, other in enumerate(sheet.sections) if _alike(section, other))
        for section in sheet.sections
    )
    route = Route(tuple(row), tuple(starts), tuple(owners), alike)
    return SheetRoute(route, tuple(chords), tuple(lines), sheet.sections)


def _alike(one: SheetSection, other: SheetSection) -> bool:
    """Whether two sections are one, by their name or by their chords."""
    lines, others = ([line.chords for line in section.lines] for section in (one, other))
    return one.name.casefold() == other.name.casefold() or lines == others
