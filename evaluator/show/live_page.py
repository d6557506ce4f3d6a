"""What does a student see while playing?

The page of the music stand, with a hand on it: the section's lines as in the chart, the
bar being played between two marks, the next one pointed to, the judges' marks at the
bars that are over. Above it the song and how far it is; below it what was wrong in the
last bars, in words. Nothing moves but the place.

A `LivePage` is a picture of one moment; `lay_live` composes it for a sheet of some width
and height, `news` says in a line a bar what is new since another picture.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Final, Literal

from evaluator.report.model import LayoutBar, LayoutLine, LayoutSection
from evaluator.show.bar_grid import BAR_LINES, Grid, grid
from evaluator.show.marked_song import MARKS, STYLES, in_order
from evaluator.show.page import Line, Piece, Sheet, Style, cells, padded, paragraph, wrapped

LiveState = Literal["no piano", "ready", "counting", "playing", "away", "over"]

SAYS: Final[dict[LiveState, str]] = {
    "no piano": "Waiting for the piano.",
    "ready": "Play when you like.",
    "counting": "",
    "playing": "",
    "away": "The piano is disconnected. Plug it in again and play on; nothing is lost.",
    "over": "That was the end.",
}
ENDS: Final = "Enter or Ctrl-C ends {what}."
ENDING: Final = ENDS.format(what="the take")
SHOWN_FAULTS: Final = 3
NARROWEST: Final = 6
"""Cells of a bar's text."""
HERE: Final[dict[bool, tuple[str, str]]] = {True: ("▐", "▌"), False: (">", "<")}
"""What stands at both sides of the bar being played, with and without such signs."""


@dataclass(frozen=True, slots=True)
class LiveBar:
    """One played bar that is over, with what is the matter with it."""

    number: int
    section: str
    kinds: tuple[str, ...]
    """Faults as the report names them."""
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LivePage:
    """One moment of a take."""

    title: str
    state: LiveState
    bars: int
    """Bars of the chart."""
    sections: tuple[LayoutSection, ...]
    """The whole song with what is known of it."""
    section: int = 0
    """Which of them is being played."""
    here: int | None = None
    """Number of the bar being played,"""
    then: int | None = None
    """and of the one after it."""
    beat: int = 0
    """Beat of the bar, from 1."""
    beats: int = 4
    bpm: float = 0.0
    chart_bpm: float = 0.0
    count: tuple[int, int] | None = None
    """Count-in: bars still to go with this one, and the beat."""
    sounding: str = ""
    """What is being held, as a musician would call it."""
    played: tuple[LiveBar, ...] = ()
    notes: tuple[str, ...] = ()
    """Sentences about the piano."""


def lay_live(page: LivePage, sheet: Sheet, height: int) -> list[Line]:
    """The page in at most `height` lines, none wider than the sheet."""
    return framed(_head(page, sheet), page, _foot(page, sheet), sheet, height)


def framed(
    head: Iterable[Line], page: LivePage, foot: Iterable[Line], sheet: Sheet, height: int
) -> list[Line]:
    """The song between what stands above and below it, in at most `height` lines."""
    top, bottom = [*head, ()], [(), *foot]
    room = max(height - len(top) - len(bottom), 3)
    return [*top, *_window(page, sheet, room), *bottom][:height]


def _head(page: LivePage, sheet: Sheet) -> Iterator[Line]:
    """The song, the section, and how far it is."""
    title, section, where = sheet.text(page.title), "", ""
    if page.here is not None:
        section = f"  [{sheet.text(page.sections[page.section].label)}]"
        where = f"bar {page.here} of {page.bars}   tempo {page.bpm:.0f}"
        where += f" (chart {page.chart_bpm:.0f})"
    between = sheet.width - cells(title) - cells(section) - cells(where)
    if between < 2:
        yield from list(paragraph(title, sheet.width, style="title"))[:1]
        yield from list(paragraph(f"{section.strip()} {where}", sheet.width, style="faint"))[:1]
    else:
        yield ((title, "title"), (section, "head"), (" " * between, ""), (where, "faint"))


def _foot(page: LivePage, sheet: Sheet) -> Iterator[Line]:
    yield from beat_line(page, sheet)
    for bar in [bar for bar in page.played if bar.says][-SHOWN_FAULTS:]:
        signs = "".join(sheet.glyphs.of(kind) for kind in bar.kinds if kind in MARKS)
        said = f"{signs} {sheet.text('; '.join(bar.says))}".strip()
        style = STYLES.get(bar.kinds[0], "") if bar.kinds else ""
        yield from paragraph(said, sheet.width, first=f"  {bar.number} ", style=style)
    for note in (*page.notes, SAYS[page.state]):
        if note:
            yield from paragraph(sheet.text(note), sheet.width, style="head")
    yield from paragraph(ENDING, sheet.width, style="faint")


def beat_line(page: LivePage, sheet: Sheet) -> Iterator[Line]:
    """The count, and what sounds."""
    if page.count is not None:
        bars, beat = page.count
        counted = " ".join(str(number) for number in range(1, beat + 1))
        yield ((f"{counted}", "title"), (f"   ({bars} to go)" if bars > 1 else "", "faint"))
        return
    counted = " ".join(
        str(number) if number == page.beat else "." for number in range(1, page.beats + 1)
    )
    pieces: list[Piece] = [(counted, "faint" if page.here is None else "good")]
    if page.sounding:
        pieces.append((f"   {sheet.text(page.sounding)}", ""))
    yield tuple(pieces)


def _window(page: LivePage, sheet: Sheet, room: int) -> list[Line]:
    """Lines of the song about the bar being played, as many as there is room for."""
    if not page.sections:
        return []
    rows: list[_Row] = []
    for at in range(page.section, len(page.sections)):
        if at > page.section:
            rows.append(_Row(()))
        rows += _section(page, page.sections[at], sheet, current=at == page.section)
        if at > page.section and len(rows) >= room:
            break
    focus = next((at for at, row in enumerate(rows) if row.here), 0)
    # The line above stays in sight with its marks, the rest of the room is for what comes.
    first = max(0, min(focus - max(room // 3, 1), len(rows) - room))
    while 0 < first < focus and not rows[first].begins:
        first += 1
    return [row.line for row in rows[first : first + room]]


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the song on the screen."""

    line: Line
    begins: bool = False
    """A page may begin with it."""
    here: bool = False
    """The bar being played stands in it."""


def _section(
    page: LivePage, section: LayoutSection, sheet: Sheet, *, current: bool
) -> Iterator[_Row]:
    yield _Row(((f"[{sheet.text(section.label)}]", "head" if current else "faint"),), begins=True)
    for at, line in enumerate(section.lines):
        if at and line.cue:
            yield _Row(())
        yield from _line(page, line, sheet, current=current)


def _line(page: LivePage, line: LayoutLine, sheet: Sheet, *, current: bool) -> Iterator[_Row]:
    """One written line: chords, numbers with marks, words."""
    place = grid(line, [_need(bar, sheet) for bar in line.bars], _widest(page, sheet), sheet)
    for at in range(0, len(line.bars), place.count):
        part = line.bars[at : at + place.count]
        here = current and any(bar.number == page.here for bar in part)
        yield _Row(_chords(page, part, place, sheet, place.start(at)), begins=True, here=here)
        yield _Row(_numbers(page, part, place, sheet))
    if line.cue:
        words = paragraph(sheet.text(line.cue), sheet.width, first=place.indent)
        yield from map(_Row, words)


def _kinds(bar: LayoutBar, page: LivePage) -> tuple[str, ...]:
    """Marks of a bar: of the last time it was played, and of its form."""
    known = [page.played[number - 1] for number in bar.played if number <= len(page.played)]
    faults = known[-1].kinds if known else ()
    return in_order(faults, bar, told=bar.state == "missing")


def _is_over(bar: LayoutBar, page: LivePage) -> bool:
    return any(number <= len(page.played) for number in bar.played)


def _signs(bar: LayoutBar, page: LivePage, sheet: Sheet) -> str:
    kinds = _kinds(bar, page)
    if not kinds and _is_over(bar, page):
        return "ok"
    return "".join(sheet.glyphs.of(kind) for kind in kinds)


def _widest(page: LivePage, sheet: Sheet) -> int:
    """Cells of a bar that line up throughout the song."""
    bars = (bar for section in page.sections for line in section.lines for bar in line.bars)
    return max(_need(bar, sheet) for bar in bars)


def _need(bar: LayoutBar, sheet: Sheet) -> int:
    below = len(str(bar.number)) + 4
    return max(NARROWEST, cells(sheet.text(bar.text)), below)


def _chords(
    page: LivePage, part: Sequence[LayoutBar], place: Grid, sheet: Sheet, start: str
) -> Line:
    left, right = HERE[sheet.encoding.lower().startswith("utf")]
    pieces: list[Piece] = [(start, "")]
    for bar in part:
        here, then = bar.number == page.here, bar.number == page.then
        text = wrapped(sheet.text(bar.text), place.width)[0]
        style: Style = (
            "good" if here else "head" if then else "faint" if _is_over(bar, page) else ""
        )
        pieces += [
            ("|", "faint"),
            (left if here else " ", "good"),
            (padded(text, place.width), style),
            (right if here else " ", "good"),
        ]
    return (*pieces, ("|", "faint"))


def _numbers(page: LivePage, part: Sequence[LayoutBar], place: Grid, sheet: Sheet) -> Line:
    pieces: list[Piece] = [(place.indent, "")]
    for bar in part:
        number = f"{bar.number} "
        signs = _signs(bar, page, sheet)
        if not signs and bar.number == page.then:
            signs = "next"
        kinds = _kinds(bar, page)
        style: Style = STYLES.get(kinds[0], "") if kinds else "faint"
        used = cells(number) + cells(signs)
        pieces += [
            (number, "faint"),
            (signs, style),
            (" " * max(place.width + BAR_LINES - used, 1), ""),
        ]
    return tuple(pieces[:-1])


def news(page: LivePage, before: LivePage | None) -> Iterator[str]:
    """What is new since the page before, a sentence a line: for an ear, or for a pipe."""
    old = () if before is None else before.notes
    yield from (note for note in page.notes if note not in old)
    pairs = zip(page.played, () if before is None else before.played, strict=False)
    told = sum(1 for _ in takewhile(lambda pair: pair[0].number == pair[1].number, pairs))
    for bar in page.played[told:]:  # also where the way has turned out to be another
        yield f"bar {bar.number}, {bar.section}: {'; '.join(bar.says) or 'right'}"
    if before is not None and page.state == before.state:
        return
    if page.state == "counting" and page.count is not None:
        yield f"Counting in, {page.count[0]} to go."
    elif page.state == "playing" and before is not None and before.state == "away":
        yield "The piano is back."
    elif SAYS[page.state]:
        yield SAYS[page.state]
