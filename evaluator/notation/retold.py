"""What of a score does the library not understand as it is written, and how is it told it?

MusicXML has `<cue/>` for a note in small print; music21 knows small print by the size that
the note's type may name. Bars that stand as a sign of repetition have no notes of their own
(`repeated_bars`), and under `<slash/>`, a style of bars, it may have rests where slashes are
printed. A tempo may be printed as "ca. 80" or "80-84"; a number is read, so the
first one stands for it.
"""

import re
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from evaluator.notation.repeated_bars import write_out

_FOREIGN: Final = re.compile(rb"<cue|<slash\s|<measure-repeat|<per-minute[^>]*>(?!\s*[\d.]+\s*<)")
_NUMBER: Final = re.compile(r"\d{1,3}(?:\.\d{1,3})?")


def retold(xml: bytes, root: Element) -> bytes:
    """A MusicXML text that `guard.safe_score` has let through, in what the library reads. `root`
    is the text's own, and changes with it."""
    if not _FOREIGN.search(xml):
        return xml
    _give_sizes(root)
    write_out(root)
    for part in root.iterfind("part"):
        _put_slashes(part)
    for mark in root.iter("per-minute"):
        number = _NUMBER.search(mark.text or "")
        if number is not None:
            mark.text = number[0]
    told: bytes = ElementTree.tostring(root, encoding="utf-8")
    return told


def _give_sizes(root: Element) -> None:
    """The size of each cue, beside it."""
    for note in root.iter("note"):
        if note.find("cue") is not None:
            kind = note.find("type")
            if kind is None:
                # In the order of the schema it stands behind duration, ties and voice.
                kind = Element("type")
                kind.text = "16th"
                note.insert(_behind(note), kind)
            kind.set("size", "cue")


def _behind(note: Element) -> int:
    before = [
        place
        for place, element in enumerate(note)
        if element.tag in ("duration", "tie", "instrument", "voice")
    ]
    return max(before, default=len(note) - 1) + 1


def _put_slashes(part: Element) -> None:
    """Slashes for the rests of bars that are printed with slashes, staff by staff."""
    slashed: set[str | None] = set()
    for measure in part.iterfind("measure"):
        for style in measure.iterfind("attributes/measure-style"):
            sign = style.find("slash")
            if sign is not None and sign.get("type") == "start":
                slashed.add(style.get("number"))
            elif sign is not None:
                slashed.discard(style.get("number"))
        for staff in slashed:
            notes = [
                note
                for note in measure.iterfind("note")
                if staff in (None, note.findtext("staff", "1"))
            ]
            if all(note.find("rest") is not None for note in notes):
                for note in notes:
                    _as_slash(note)


def _as_slash(note: Element) -> None:
    for place, element in enumerate(note):
        if element.tag == "rest":
            pitch = Element("pitch")
            for name, text in (("step", "B"), ("octave", "4")):
                ElementTree.SubElement(pitch, name).text = text
            note[place] = pitch
    ElementTree.SubElement(note, "notehead").text = "slash"
