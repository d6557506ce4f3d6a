"""How long is the first of two eighths against the second, by what a score says?

By its sound (`swing` of MusicXML 4.0), by a mark that sets two eighths equal to a dotted pair
or to a triplet, or by words such as "Swing" or "swing 3:2" over its first bars. A chart has
one feel for the whole song; what comes later is said, and not kept.

The library reads none of these marks, so they are taken from the text of the score.
"""

import re
from fractions import Fraction
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from evaluator.chart.values import STEEPEST

TRIPLET: Final = Fraction(2)
"""Where nothing is said but that it swings. Common practice of notation."""
DOTTED: Final = Fraction(3)
FINEST: Final = 12
"""Parts of the short eighth in which the long one is told."""
BEGINNING: Final = 2
"""Bars at whose marks the song begins: a pickup, and the first whole one."""
LATER: Final = "bar {bar}: the feel changes there; a chart has one feel for the whole song"
_WORDS: Final = re.compile(
    r"(?<!no )\b(?:swing|swung|shuffle)\b(?:\s*(\d{1,2}(?:\.\d{1,3})?):(\d{1,2})\b)?", re.I
)


def feel_of(xml: bytes, remarks: list[str]) -> Fraction:
    """Long to short eighth of a MusicXML text that `guard.safe_score` has let through; 1 is
    straight. What a chart cannot keep is added to the remarks."""
    root = ElementTree.fromstring(xml)
    feel = Fraction(1)
    for part in list(root.iterfind("part"))[:1]:
        for place, measure in enumerate(part.iterfind("measure")):
            found = [one for one in map(_swing, measure.iter()) if one is not None]
            if not found:
                continue
            if place < BEGINNING:
                feel = found[0]
            elif found[0] != feel:
                remarks.append(LATER.format(bar=measure.get("number", place + 1)))
    return feel


def _swing(element: Element) -> Fraction | None:
    if element.tag == "swing":
        if element.find("straight") is not None:
            return Fraction(1)
        if element.findtext("swing-type") == "16th":
            return None
        return _ratio(element.findtext("first"), element.findtext("second"))
    if element.tag == "metronome" and element.find("metronome-note") is not None:
        return _relation(element)
    if element.tag == "words":
        said = _WORDS.search(element.text or "")
        return None if said is None else _ratio(said[1] or str(TRIPLET), said[2] or "1")
    return None


def _ratio(first: str | None, second: str | None) -> Fraction | None:
    try:
        ratio = Fraction((first or "").strip()) / Fraction((second or "").strip())
    except (ValueError, ZeroDivisionError):
        return None
    return ratio.limit_denominator(FINEST) if 1 <= ratio <= STEEPEST else None


def _relation(mark: Element) -> Fraction | None:
    """Of two eighths set equal to other notes, how they are played; None for other relations."""
    names = [note.findtext("metronome-type") for note in mark.iterfind("metronome-note")]
    if names[:2] != ["eighth", "eighth"] or len(names) != 4:
        return None
    if names[2:] == ["quarter", "eighth"]:
        return TRIPLET
    return DOTTED if names[2:] == ["eighth", "16th"] else None
