"""Which sections were played in which order?

The bars of the take, section by section: a section is left when an earlier line of it comes.
What of that order the sheet does not show is said.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from evaluator.draft.bars import PlayedBar
from evaluator.draft.route import SheetRoute
from evaluator.draft.sheet import SheetSection


@dataclass(frozen=True, slots=True)
class Visit:
    """One playing of a section."""

    section: int
    bars: tuple[int, ...]
    """Numbers of bars of the take."""


def section_visits(bars: Sequence[PlayedBar], route: SheetRoute) -> list[Visit]:
    """The bars of one section after another."""
    owners = route.route.sections
    visits: list[Visit] = []
    before: PlayedBar | None = None
    for number, bar in enumerate(bars):
        section = owners[bar.line]
        alone = owners.count(section) == 1
        goes_on = (
            before is not None
            and owners[before.line] == section
            and (bar.line > before.line or bar.visit == before.visit or alone)
        )
        again = before is not None and before.line == bar.line
        if visits and (goes_on or again):
            visits[-1] = replace(visits[-1], bars=(*visits[-1].bars, number))
        else:
            visits.append(Visit(section, (number,)))
        before = bar
    return visits


def same_places(
    visits: Sequence[Visit], bars: Sequence[PlayedBar], route: SheetRoute
) -> Mapping[tuple[int, int], object]:
    """For each bar and chord in it what is the same for its place in every playing of a section.

    The bars of a tail are all one place: its playings differ in their number.
    """
    places: dict[tuple[int, int], object] = {}
    for visit in visits:
        name = route.sections[visit.section].name.casefold()
        for at, number in enumerate(visit.bars):
            tail = len(route.lines[bars[number].line].chords) == 1
            for place, span in enumerate(bars[number].spans):
                places[number, place] = (name, "tail" if tail else at, place, span.chord)
    return places


def unlike_the_sheet(visits: Sequence[Visit], sections: Sequence[SheetSection]) -> list[str]:
    """What the take did otherwise than the sheet's order."""
    remarks = []
    names = [section.name for section in sections]
    order = [visit.section for visit in visits]
    for place, section in enumerate(order):
        if place and section <= order[place - 1]:
            remarks.append(
                f"[{names[section]}] came again after [{names[order[place - 1]]}], "
                f"which the sheet does not show"
            )
    return remarks + [
        said
        for name in dict.fromkeys(name for number, name in enumerate(names) if number not in order)
        for said in _left_out(name, names.count(name), [names[one] for one in order].count(name))
    ]


def _left_out(name: str, wanted: int, played: int) -> list[str]:
    """What is said of a section that the sheet has, and the take less often."""
    if not played:
        return [f"[{name}] of the sheet was not played"]
    return [f"the sheet has [{name}] {wanted} times, the take {played}"] if played < wanted else []
