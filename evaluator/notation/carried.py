"""How does a score carry the chart that it was written from?

Notation has no sign for a pattern, an `or` line, a colour or a bass rule. So the chart's
own text goes along where MusicXML has a place for what a program wants to say to itself
(`miscellaneous-field` in `identification`), which others keep or drop. It is believed as
long as the notation beside it says what it said when it was written: a print of the notes,
chords, words and signs of the form, free of layout and of how a note is spelt out, goes
along as well. A score that somebody has edited is read by its notation.
"""

import hashlib
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

CHART_FIELD: Final = "practice-chart"
PRINT_FIELD: Final = "practice-chart-print"
CHANGED: Final = (
    "the score was changed since it was written from a chart: what only that chart knew "
    "(colours, bass rules, `or` lines, times of one's choice) is not in this one"
)
_UNSEEN: Final = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
"""Categories of Unicode that a reader does not see and that steer whatever prints them; XML
forbids some. Readers of charts take them for spaces."""
_NUMBER: Final = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,6})?")


@dataclass(frozen=True, slots=True)
class Carried:
    """What a score has with it."""

    chart: str
    changed: bool
    """The notation is no longer the one that was written with the chart."""


def put(root: Element, chart: str) -> None:
    """Give a score the chart's text, and the print of its notation."""
    home = root.find("identification")
    if home is None:
        home = Element("identification")
        root.insert(_behind_titles(root), home)
    fields = home.find("miscellaneous")
    if fields is None:
        fields = ElementTree.SubElement(home, "miscellaneous")
    for name, text in ((CHART_FIELD, _seen(chart)), (PRINT_FIELD, print_of(root))):
        field = ElementTree.SubElement(fields, "miscellaneous-field", {"name": name})
        field.text = text


def _seen(text: str) -> str:
    """A chart without what nobody sees."""
    return "".join(
        sign if sign == "\n" or unicodedata.category(sign) not in _UNSEEN else " "
        for sign in text.replace("\r\n", "\n")
    )


def _behind_titles(root: Element) -> int:
    titles = ("work", "movement-number", "movement-title")
    return sum(element.tag in titles for element in root)


def carried(xml: bytes) -> Carried | None:
    """The chart that a MusicXML text has with it, one that `guard.safe_score` has let through."""
    if CHART_FIELD.encode() not in xml:
        return None
    root = ElementTree.fromstring(xml)
    fields = {
        field.get("name"): field.text or ""
        for field in root.iterfind("identification/miscellaneous/miscellaneous-field")
    }
    if CHART_FIELD not in fields:
        return None
    return Carried(fields[CHART_FIELD], fields.get(PRINT_FIELD, "").strip() != print_of(root))


def print_of(root: Element) -> str:
    """A short text that stays the same as long as the score says the same music."""
    said = hashlib.sha256()
    for part in root.iterfind("part"):
        divisions = Fraction(1)
        for measure in part.iterfind("measure"):
            divisions = _number(measure.findtext("attributes/divisions")) or divisions
            said.update("\n".join(sorted(_measure(measure, divisions))).encode() + b"\n|")
    return said.hexdigest()


def _number(text: str | None) -> Fraction:
    """0 for what is none: a broken score is the reader's to refuse."""
    found = _NUMBER.fullmatch((text or "").strip())
    return Fraction(found[0]) if found else Fraction(0)


def _measure(measure: Element, divisions: Fraction) -> Iterator[str]:
    """What a bar says, each with its place in quarter notes."""
    at = Fraction(0)
    for element in measure:
        length = _number(element.findtext("duration")) / divisions
        if element.tag in ("backup", "forward"):
            at += length if element.tag == "forward" else -length
        elif element.tag == "note":
            chord = element.find("chord") is not None
            yield from _note(element, at - length if chord else at, length)
            at = at if chord else at + length
        else:
            yield from _sign(element, at)


def _note(note: Element, at: Fraction, length: Fraction) -> Iterator[str]:
    pitch = note.find("pitch")
    if pitch is not None:
        alter = _number(pitch.findtext("alter"))
        tied = ",".join(sorted(tie.get("type", "") for tie in note.iterfind("tie")))
        key = f"{pitch.findtext('step')}{alter}{pitch.findtext('octave')}"
        yield f"{at} note {key} {length} {tied}"
    for lyric in note.iterfind("lyric"):
        yield f"{at} sung {lyric.get('number', '1')} {lyric.findtext('text')}"


def _sign(element: Element, at: Fraction) -> Iterator[str]:
    """Chords, and the signs of form, tempo, key and meter."""
    if element.tag == "harmony":
        names = ("root/root-step", "root/root-alter", "kind", "bass/bass-step", "bass/bass-alter")
        degrees = [
            f"{one.findtext('degree-value')}{one.findtext('degree-alter')}"
            for one in element.iterfind("degree")
        ]
        yield f"{at} chord {[element.findtext(name) for name in names]} {degrees}"
    elif element.tag == "barline":
        for repeat in element.iterfind("repeat"):
            yield f"repeat {repeat.get('direction')} {repeat.get('times')}"
        for ending in element.iterfind("ending"):
            yield f"ending {ending.get('number')} {ending.get('type')}"
    elif element.tag == "direction":
        for name in ("rehearsal", "words"):
            for text in element.iterfind(f"direction-type/{name}"):
                yield f"{at} {name} {(text.text or '').strip()}"
        minute = element.findtext("direction-type/metronome/per-minute")
        if minute:
            yield f"{at} tempo {minute}"
    elif element.tag == "attributes":
        for name in ("key/fifths", "time/beats", "time/beat-type"):
            yield from (f"{name} {value}" for value in filter(None, [element.findtext(name)]))
