"""In which order does a sheet want its chords, line by line?"""

from dataclasses import dataclass

from evaluator.draft.align import Route
from evaluator.draft.sheet import Sheet, SheetLine, SheetSection
from evaluator.theory.symbol import ChordSymbol


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
