"""Which notes stand behind the sign that one bar, or two or four, come again?

`measure-repeat` of MusicXML 4.0 (W3C) says from where on, for how many bars and on which
staff. Under it a program prints no notes, or rests; the notes of the bars before are put in
their place, bar by bar, so that a long row of such signs goes on from the last.
"""

from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from evaluator.notation.guard import MOST

LONGEST: Final = 8
"""Bars that one sign may stand for; print has signs for one, two and four."""
TIMED: Final = ("note", "backup", "forward", "harmony", "direction")


@dataclass(frozen=True, slots=True)
class _Event:
    """Something of a bar with its place, in divisions of the score."""

    at: int
    length: int
    element: Element

    @property
    def staff(self) -> str:
        return self.element.findtext("staff", "1")

    @property
    def voice(self) -> tuple[bool, str, str]:
        """Chord symbols and words first, then voice after voice."""
        is_note = self.element.tag == "note"
        return is_note, self.staff if is_note else "", self.element.findtext("voice", "")


def write_out(root: Element) -> None:
    """Put the notes that are meant into the bars under such signs, as long as the score stays
    within what is read of one."""
    left = MOST["note"][0] - sum(1 for _ in root.iter("note"))
    for part in root.iterfind("part"):
        running: dict[str | None, int] = {}
        measures = list(part.iterfind("measure"))
        for place, measure in enumerate(measures):
            _heed(measure, running)
            for staff, bars in running.items():
                new = place >= bars and _meant(measures[place - bars], measure, staff)
                if new and len(new) <= left:
                    left -= len(new)
                    _put(measure, new, staff)


def _heed(measure: Element, running: dict[str | None, int]) -> None:
    """Begin and end what the signs of a bar say; `running` has the bars of a sign by staff."""
    for style in measure.iterfind("attributes/measure-style"):
        sign = style.find("measure-repeat")
        if sign is None:
            continue
        running.pop(style.get("number"), None)
        bars = (sign.text or "").strip()
        if sign.get("type") == "start":
            count = int(bars) if bars.isdecimal() and len(bars) < 3 else 1
            running[style.get("number")] = min(max(count, 1), LONGEST)


def _meant(source: Element, measure: Element, staff: str | None) -> list[_Event]:
    """What comes again in a bar; nothing where its notes are printed all the same, or where the
    score counts otherwise from there on."""
    own = [one.element for one in _events(measure) if _of(one, staff)]
    printed = any(one.tag == "note" and one.find("rest") is None for one in own)
    if printed or measure.find("attributes/divisions") is not None:
        return []
    symbols = [] if measure.find("harmony") is not None or staff is not None else ["harmony"]
    return [
        _Event(one.at, one.length, deepcopy(one.element))
        for one in _events(source)
        if _of(one, staff) or one.element.tag in symbols
    ]


def _of(one: _Event, staff: str | None) -> bool:
    return one.element.tag == "note" and staff in (None, one.staff)


def _put(measure: Element, new: Sequence[_Event], staff: str | None) -> None:
    """The bar with these notes in the place of its own on that staff, or on all."""
    kept = [one for one in _events(measure) if not _of(one, staff)]
    timed = [element for element in measure if element.tag in TIMED]
    place = list(measure).index(timed[0]) if timed else len(measure)
    for element in timed:
        measure.remove(element)
    cursor = 0
    for one in sorted([*kept, *new], key=lambda event: event.voice):
        for element in (*_moved(one.at - cursor), one.element):
            measure.insert(place, element)
            place += 1
        cursor = one.at + one.length


def _moved(by: int) -> Iterator[Element]:
    if by:
        move = Element("forward" if by > 0 else "backup")
        ElementTree.SubElement(move, "duration").text = str(abs(by))
        yield move


def _events(measure: Element) -> Iterator[_Event]:
    """What a bar has, with its place; the further notes of a chord stand where the first ends,
    as they follow it without a move."""
    cursor = 0
    for element in measure:
        if element.tag not in TIMED:
            continue
        length = _duration(element)
        if element.tag in ("backup", "forward"):
            cursor += length if element.tag == "forward" else -length
            continue
        if element.find("chord") is not None:
            length = 0
        yield _Event(cursor, length, element)
        cursor += length


def _duration(element: Element) -> int:
    text = (element.findtext("duration") or "0").strip()
    return round(float(text)) if text.replace(".", "", 1).isdecimal() else 0
