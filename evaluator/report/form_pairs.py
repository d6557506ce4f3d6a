"""Which two findings of the form are one mistake, and which came again and again?

A section that came once more just where another of its kind is missing was played in its
place. A line that is missing and comes afterwards was played later than the chart has it.
Tails that are all too short, or bars that come twice at the ends of lines, are one habit.
"""

import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.judge.verdict import FormFinding
from evaluator.report import form_words
from evaluator.report.places import amount, capital, listed, main_bar, places

SECTIONS: Final = ("section", "sections")
"""Details of findings that are of whole sections."""
COUNTED: Final = ("missing", "extra")
TAILS: Final = 2
"""So many tails that are too short, or too long, are a habit;"""
HABIT: Final = 3
"""and so many single bars, or halts;"""
NEARLY_ALL: Final = 0.8
"""and so large a part of them that is at the ends, or beginnings, of lines."""

_NUMBER = re.compile(r"\s*\d+$")
"""Of which playing a section's label speaks."""


def in_place(graph: BarGraph, form: Sequence[FormFinding]) -> dict[int, int]:
    """Places in `form` of a section that came once more, each with that of the one of its kind
    that is missing there: Verse 1 was played in place of Verse 2."""

    def are(one: FormFinding, other: FormFinding) -> bool:
        alike = _kinds_of(graph, one) == _kinds_of(graph, other)
        return one.detail == other.detail and one.detail in SECTIONS and alike

    return _pairs(form, ("extra", "missing"), are)


def later(form: Sequence[FormFinding]) -> dict[int, int]:
    """Places in `form` of a line or section that is missing, each with that of the same bars,
    which are not there twice but came too late."""

    def are(one: FormFinding, other: FormFinding) -> bool:
        return one.detail != "bars" and one.bars == other.bars

    return _pairs(form, ("missing", "extra"), are)


def _pairs(
    form: Sequence[FormFinding],
    kinds: tuple[str, str],
    are: Callable[[FormFinding, FormFinding], bool],
) -> dict[int, int]:
    counted = [at for at, one in enumerate(form) if one.kind in COUNTED]
    return {
        first: second
        for first, second in pairwise(counted)
        if (form[first].kind, form[second].kind) == kinds and are(form[first], form[second])
    }


def _kinds_of(graph: BarGraph, finding: FormFinding) -> list[str]:
    """`Verse`, `Chorus` for Verse 2 and Chorus 2."""
    names = dict.fromkeys(main_bar(graph, number).section for number in finding.bars)
    return [_NUMBER.sub("", name) for name in names]


def habits(form: Sequence[FormFinding]) -> list[list[FormFinding]]:
    """Findings of tails, or of single bars, that are the same thing again and again."""
    found = []
    for kind in COUNTED:
        here = [one for one in form if one.kind == kind]
        tails = [one for one in here if one.tail]
        single = [one for one in here if not one.tail and one.count == 1]
        found += [tails] if len(tails) >= TAILS else []
        found += [single] if len(single) >= HABIT else []
    return found


def say_habit(habit: Sequence[FormFinding], graph: BarGraph) -> str:
    """One sentence on all of them."""
    kind, count = habit[0].kind, len(habit)
    if habit[0].tail:
        items = [
            form_words.TAIL_BY.format(section=one.section, bars=amount(one.count, "bar"))
            for one in habit
        ]
        tails = capital(amount(count, "tail"))
        return form_words.TAILS[kind].format(tails=tails, items=listed(items))
    bars = [_likeliest(one, graph) for one in habit]
    return form_words.BARS[kind].format(
        bars=capital(amount(count, "bar")), last=last_of_lines(graph, bars), places=places(bars)
    )


def last_of_lines(graph: BarGraph, bars: Sequence[Bar]) -> str:
    """That bars are the last of their lines, if there are enough of them to call it a habit."""
    return nearly_all([_ends_line(bar, graph) for bar in bars], form_words.AT_ENDS)


def nearly_all(are: Sequence[bool], words: tuple[str, str]) -> str:
    """The first of the words where nearly all of some things are so, the second where all are;
    none where there are too few of them for a habit."""
    if len(are) < HABIT or sum(are) < NEARLY_ALL * len(are):
        return ""
    return words[all(are)]


def _likeliest(finding: FormFinding, graph: BarGraph) -> Bar:
    """Of the bars that it may have been one at the end of a line, if there is any."""
    first, last = finding.run or (finding.bars[0], finding.bars[0])
    bars = [main_bar(graph, number) for number in range(first, last + 1)]
    return next((bar for bar in bars if _ends_line(bar, graph)), main_bar(graph, finding.bars[0]))


def _ends_line(bar: Bar, graph: BarGraph) -> bool:
    same = (*bar.line_played, bar.alternative)
    line = [one for one in graph.bars if (*one.line_played, one.alternative) == same]
    return all(one.place <= bar.place for one in line)
