"""How does the song lie on the page, with its marks and what there is to hear?

As in the terminal (`evaluator.show.marked_song`): sections, lines of bars, the words below, and
under the words what each mark means. Here each bar knows besides how it sounds as it
should be and each time that it was played.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.grading import Graded
from evaluator.report.model import LayoutBar, LayoutLine, LayoutSection, ReportedBar
from evaluator.show.glyphs import MEANINGS, UNICODE
from evaluator.show.marked_song import SAID_ABOVE, absence, marks_of, nth_time

COLOUR: Final = re.compile(r"(\s*\([^)]*\))")
"""A chord that may be used, never must; set smaller."""
CLASSES: Final = {
    "incomplete": "chord",
    "otherwise": "otherwise",
    "missing": "form",
    "extra": "form",
    "restart": "form",
    "break": "form",
}
"""Which colour a mark has beside its shape."""


Unplayed = dict[tuple[int, str], list[int]]


@dataclass(frozen=True, slots=True)
class Mark:
    """A shape and what it stands for."""

    sign: str
    means: str
    colour: str


@dataclass(frozen=True, slots=True)
class PageBar:
    """A bar as it is written, marked and heard."""

    number: int
    pieces: tuple[tuple[str, bool], ...]
    """Text as written; True for a colour that may be used."""
    marks: tuple[Mark, ...]
    state: str
    wanted: int
    """Index of the chart's bar."""
    played: tuple[int, ...]
    """Numbers of the played bars, from 1."""


@dataclass(frozen=True, slots=True)
class Note:
    """Under the line: what was wrong in one bar, one of the times it was played."""

    number: int
    time: str
    """`2nd time`, where the bar was played more than once."""
    faults: tuple[tuple[Mark, str], ...]
    wanted: int
    played: int


@dataclass(frozen=True, slots=True)
class PageLine:
    """A line of bars, with its words."""

    bars: tuple[PageBar, ...]
    cue: str
    alternative: bool
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class PageSection:
    """A section as its lines lie on the page."""

    label: str
    absent: str
    """Why none of its bars is shown; empty where they are."""
    lines: tuple[PageLine, ...]


def mark(kind: str) -> Mark:
    """Shape, meaning and colour of a kind of fault, finding or state."""
    means = MEANINGS.get(kind, "slip or correction" if kind == "slip" else kind)
    return Mark(UNICODE.of(kind), means, CLASSES.get(kind, kind.replace(" ", "-")))


def page_song(graded: Graded) -> tuple[PageSection, ...]:
    """The whole song, section by section."""
    unplayed = _unplayed(graded)
    return tuple(_section(section, graded, unplayed) for section in graded.report.layout)


def legend(song: Sequence[PageSection]) -> tuple[Mark, ...]:
    """The marks that this song has, in their usual order."""
    used = {
        one for section in song for line in section.lines for bar in line.bars for one in bar.marks
    }
    notes = (note for section in song for line in section.lines for note in line.notes)
    used |= {one for note in notes for one, _ in note.faults}
    return tuple(one for one in map(mark, (*MEANINGS, "slip")) if one in used)


def _unplayed(graded: Graded) -> Unplayed:
    """Bars of the graph that were not played, by number and text, in their order.

    An `or` line shares its numbers with the line above it, and may share bars with it.
    """
    played = {bar.bar for bar in graded.path.bars}
    found: Unplayed = {}
    for bar in graded.song.graph.bars:
        if bar.index not in played:
            found.setdefault((bar.number, bar.text), []).append(bar.index)
    return found


def _section(section: LayoutSection, graded: Graded, unplayed: Unplayed) -> PageSection:
    if why := absence(section):
        return PageSection(section.label, why, ())
    lines = tuple(_line(line, graded, unplayed) for line in section.lines)
    return PageSection(section.label, "", lines)


def _line(line: LayoutLine, graded: Graded, unplayed: Unplayed) -> PageLine:
    reported = graded.report.bars
    bars = tuple(
        PageBar(
            bar.number,
            pieces(bar.text),
            tuple(map(mark, marks_of(bar, reported))),
            bar.state.replace(" ", "-"),
            _index(bar, graded, unplayed),
            bar.played,
        )
        for bar in line.bars
    )
    notes = tuple(note for bar in bars for note in _notes(bar, reported))
    return PageLine(bars, line.cue, line.alternative, notes)


def _index(bar: LayoutBar, graded: Graded, unplayed: Unplayed) -> int:
    """The bar of the graph that stands there."""
    if bar.played:
        return graded.path.bars[bar.played[0] - 1].bar
    return unplayed[bar.number, bar.text].pop(0)


def pieces(text: str) -> tuple[tuple[str, bool], ...]:
    """A bar as written, cut into its chords and the colours that may be used."""
    return tuple(
        (piece.strip(), bool(COLOUR.fullmatch(piece)))
        for piece in COLOUR.split(text)
        if piece.strip()
    )


def _notes(bar: PageBar, reported: Sequence[ReportedBar]) -> Iterator[Note]:
    for turn, number in enumerate(bar.played):
        faults = [one for one in reported[number - 1].faults if one.kind not in SAID_ABOVE]
        if not faults:
            continue
        time = nth_time(turn) if len(bar.played) > 1 else ""
        told = tuple((mark(fault.kind), fault.say) for fault in faults)
        yield Note(bar.number, time, told, bar.wanted, number)
