"""What do the signs at the bars of a score say about its form?

Repeat signs, ending brackets, segno, coda and the words of jumps, and the names of
sections: rehearsal marks, and words that name a part of a song. A coda sign stands both
where one leaves and where the coda begins; the last one is the coda.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from evaluator.notation.score import BarSigns
from evaluator.notation.unroll import TWICE

_SECTION = re.compile(
    r"(?:intro(?:duction)?|verse|pre-?chorus|chorus|refrain|bridge|solo|interlude|instrumental"
    r"|break|vamp|tag|head|outro|ending|theme|trio)\b[\s\w.,'-]{0,20}:?",
    re.I,
)
_OPTIONAL = re.compile(r"\(?(?:may be left out|optional)\)?", re.I)
_TIMES = re.compile(r"\(?(?:play(?:ed)? )?(\d{1,2}) ?(?:x|times)\)?\.?|\(?x ?(\d{1,2})\)?", re.I)
_JUMPS = {
    "DaCapo": ("capo", ""),
    "DaCapoAlFine": ("capo", "fine"),
    "DaCapoAlCoda": ("capo", "coda"),
    "DalSegno": ("segno", ""),
    "DalSegnoAlFine": ("segno", "fine"),
    "DalSegnoAlCoda": ("segno", "coda"),
}


def heading(measure: Any) -> str:
    """The name of the section that begins with this bar; empty for none."""
    for mark in measure.recurse().getElementsByClass("RehearsalMark"):
        if str(mark.content or "").strip():
            return str(mark.content).strip()
    for text in measure.recurse().getElementsByClass("TextExpression"):
        words = str(text.content or "").strip()
        if text.offset == 0 and _SECTION.fullmatch(words):
            return words.rstrip(":")
    return ""


def optional(measure: Any) -> bool:
    """Whether words over the bar say that what begins there may be left out."""
    return any(map(_OPTIONAL.fullmatch, _texts([measure])))


def marks_of_all(measures: Sequence[Any], parts: Sequence[Any]) -> list[BarSigns]:
    """The signs of every bar; those of any part hold for all."""
    columns = [list(part.getElementsByClass("Measure")) for part in parts]
    places = {id(m): place for column in columns for place, m in enumerate(column)}
    marks = [
        _marks([column[place] for column in columns if place < len(column)])
        for place in range(len(measures))
    ]
    for part in parts:
        for bracket in part.recurse().getElementsByClass("RepeatBracket"):
            _bracket(bracket, places, marks)
    texts = [_texts([c[place] for c in columns if place < len(c)]) for place in range(len(marks))]
    return _codas(_counted(marks, texts))


def _texts(measures: Sequence[Any]) -> list[str]:
    found = [one.recurse().getElementsByClass("TextExpression") for one in measures]
    return [str(text.content or "").strip() for texts in found for text in texts]


def _counted(marks: list[BarSigns], texts: Sequence[Sequence[str]]) -> list[BarSigns]:
    """Plain repeats with the number of times that words over their first or last bar say."""
    start = 0
    for place, mark in enumerate(marks):
        start = place if mark.repeat_start else start
        if mark.repeat_end:
            said = [_TIMES.fullmatch(text) for text in (*texts[start], *texts[place])]
            times = [int(one[1] or one[2]) for one in said if one]
            if times and times[0] > TWICE and not mark.endings:
                marks[place] = replace(mark, repeat_end=max(mark.repeat_end, times[0]))
            start = place + 1
    return marks


def _marks(measures: Sequence[Any]) -> BarSigns:
    signs = BarSigns()
    for measure in measures:
        for line in (measure.leftBarline, measure.rightBarline):
            if line is None or "Repeat" not in line.classes:
                continue
            if line.direction == "start":
                signs = replace(signs, repeat_start=True)
            else:
                signs = replace(signs, repeat_end=max(2, int(line.times or 2)))
        for sign in measure.recurse().getElementsByClass("RepeatExpression"):
            signs = _expression(signs, sign)
    return signs


def _expression(signs: BarSigns, sign: Any) -> BarSigns:
    name = type(sign).__name__
    if name in _JUMPS:
        jump, until = _JUMPS[name]
        return replace(signs, jump=jump, until=until)
    if name == "Coda":
        away = "to" in str(sign.getText() or "").casefold().split()
        return replace(signs, to_coda=True) if away else replace(signs, coda=True)
    if name == "Segno":
        return replace(signs, segno=True)
    return replace(signs, fine=True) if name == "Fine" else signs


def _bracket(bracket: Any, places: dict[int, int], marks: list[BarSigns]) -> None:
    under = sorted(places[id(m)] for m in bracket.getSpannedElements() if id(m) in places)
    numbers = re.findall(r"\d+", str(bracket.number))
    times = frozenset(int(number) for number in numbers if 0 < int(number) < 100)
    if "-" in str(bracket.number) and len(times) == 2:
        times = frozenset(range(min(times), max(times) + 1))
    if not under or not times:
        return
    for place in range(under[0], under[-1] + 1):
        first = place == under[0]
        marks[place] = replace(marks[place], endings=times, ending_start=first)


def _codas(marks: list[BarSigns]) -> list[BarSigns]:
    """Of several coda signs, those before the last say where one leaves."""
    codas = [place for place, mark in enumerate(marks) if mark.coda]
    for place in codas[:-1]:
        marks[place] = replace(marks[place], coda=False, to_coda=True)
    return marks
