"""What of a score does the library not understand as it is written, and how is it told it?

MusicXML has `<cue/>` for a note in small print; music21 knows small print by the size that
the note's type may name. Bars that stand as a sign of repetition have no notes of their own
(`repeated_bars`). A tempo may be printed as "ca. 80" or "80-84"; a number is read, so the
first one stands for it.
"""

import re
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from evaluator.notation.repeated_bars import write_out

_FOREIGN: Final = re.compile(rb"<cue|<measure-repeat|<per-minute[^>]*>(?!\s*[\d.]+\s*<)")
_NUMBER: Final = re.compile(r"\d{1,3}(?:\.\d{1,3})?")


def retold(xml: bytes) -> bytes:
    """A MusicXML text that `guard.safe_score` has let through, in what the library reads."""
    if not _FOREIGN.search(xml):
        return xml
    root = ElementTree.fromstring(xml)
    _give_sizes(root)
    write_out(root)
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
