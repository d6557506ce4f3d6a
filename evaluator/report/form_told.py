"""What is to be said about the form: bars missing or too many, breaks, choices?

One sentence a finding, in the words of the lesson: the tail of a chorus, a line by its
first words, a section by its name. When the bars of a run sound alike, nobody can hear
which of them is missing; then the count is told, and that only the count is certain.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.marks import is_counted, price
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import FormFinding
from evaluator.report.places import (
    amount,
    bar_numbers,
    main_bar,
    place,
    quoted,
    sections_in_words,
    where_in_words,
)

ALIKE: Final = " These bars sound alike, so only the count is certain."
UNSURE: Final = " Which of them it was cannot be heard, so only the count is certain."
"""For bars that are not all alike but could be lost in several ways that sound the same."""

WHOLE: Final = {
    ("missing", "section"): "{sections} left out ({bars}).",
    ("missing", "sections"): "{sections} left out ({bars}).",
    ("missing", "parts"): "{sections} left out.",
    ("missing", "line"): "{section}{line} is missing ({bars}).",
    ("missing", "tail"): "{section}: the tail is missing ({bars}).",
    ("extra", "tail"): "{section}: the tail came once more than the chart has it ({bars}).",
    ("missing", ""): "{section}: {bars} {is_are} missing{cue}.",
    ("extra", "section"): "{sections} played {times} ({bars}).",
    ("extra", "sections"): "{sections} played {times} ({bars}).",
    ("extra", "parts"): "{sections} came once more than the chart has them.",
    ("extra", "line"): "{section}{line} came once more than the chart has it ({bars}).",
    ("extra", ""): "{section}: {bars} came once more than the chart has {it}{cue}.",
}
COUNTED: Final = "{where}: {had} where the chart has {wanted} ({bars})."
CHOICES: Final = {
    "or line": '{section}, {bars}: the "or" line was played, as the chart allows.',
    "left out": "{section}: {bars} left out, as the chart allows.",
    "times": "{section}{tail}: {had}, as the chart allows.",
    "": "{section}, {bars}: played in a way that the chart allows.",
}
IN_PLACE: Final = "{played} was played in place of {wanted} ({bars})."
"""For a section that came once more just where another of its kind is missing."""
TIMES: Final = {2: "twice", 3: "three times", 4: "four times"}
BRIEF_WHOLE: Final = {
    "missing": "{sections} left out",
    "extra": "{sections} played again",
}
"""In the headline, for whole sections."""
BRIEF_IN_PLACE: Final = "{played} in place of {wanted}"
BRIEF: Final = {
    ("missing", True): "{bars} missing from the tail of {section}",
    ("missing", False): "{bars} missing in {section}",
    ("extra", True): "{bars} too many in the tail of {section}",
    ("extra", False): "{bars} too many in {section}",
}
OF_LENGTH: Final = 12
"""Longest bar text that `three bars of D` may name."""

_NUMBER = re.compile(r"\s*\d+$")
"""Of which playing a section's label speaks."""
_COLOURS = re.compile(r"\s+\([^)]*\)")
"""What a bar may sound with is left out when it is named."""


@dataclass(frozen=True, slots=True)
class CountedBars:
    """Bars counted together: a tail, or neighbours that sound alike."""

    where: str
    of: str
    """` of D` when all of them are written alike, else empty."""
    alike: bool
    had: int
    wanted: int
    at_least: bool
    numbers: tuple[int, ...]
    """Those of them that it may have been."""


def say(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    """One sentence for one finding; `played` tells for each bar how often it was played."""
    if finding.kind in ("restart", "break"):
        return _say_halt(finding, graph)
    if finding.kind == "choice":
        return _say_choice(finding, graph, played)
    run = None if finding.detail in SECTIONS else _run(finding, graph, played)
    if run is None:
        return _say_whole(finding, graph, played)
    least = "at least " if run.at_least else ""
    sentence = COUNTED.format(
        where=run.where,
        had=f"{amount(run.had, 'bar')}{run.of}",
        wanted=f"{least}{amount(run.wanted, 'bar').split()[0]}",
        bars=bar_numbers(run.numbers),
    )
    if finding.run is None or finding.run[0] == finding.run[1]:
        return sentence
    return sentence + (ALIKE if run.alike else UNSURE)


SECTIONS: Final = ("section", "sections")
"""Details of findings that are of whole sections."""


def in_place(graph: BarGraph, form: Sequence[FormFinding]) -> dict[int, int]:
    """Places in `form` of a section that came once more, each with that of the one of its kind
    that is missing there: Verse 1 was played in place of Verse 2."""
    counted = [at for at, one in enumerate(form) if one.kind in ("missing", "extra")]
    found: dict[int, int] = {}
    for first, second in pairwise(counted):
        one, other = form[first], form[second]
        if (one.kind, other.kind) != ("extra", "missing") or one.detail != other.detail:
            continue
        alike = _kinds_of(graph, one) == _kinds_of(graph, other)
        if one.detail in SECTIONS and alike:
            found[first] = second
    return found


def _kinds_of(graph: BarGraph, finding: FormFinding) -> list[str]:
    """`Verse`, `Chorus` for Verse 2 and Chorus 2."""
    names = dict.fromkeys(main_bar(graph, number).section for number in finding.bars)
    return [_NUMBER.sub("", name) for name in names]


def say_all(
    form: Sequence[FormFinding], graph: BarGraph, played: Mapping[int, int]
) -> tuple[str, ...]:
    """One sentence for each finding; two that are one mistake have the same."""
    told = [say(finding, graph, played) for finding in form]
    for first, second in in_place(graph, form).items():
        told[first] = told[second] = IN_PLACE.format(
            played=_sections(form[first], graph),
            wanted=_sections(form[second], graph),
            bars=bar_numbers(form[second].bars),
        )
    return tuple(told)


def briefs(graph: BarGraph, form: Sequence[FormFinding]) -> list[str]:
    """What to say of bars missing and too many in a headline, whole sections taken together."""
    pairs = in_place(graph, form)
    told = [
        BRIEF_IN_PLACE.format(
            played=_sections(form[first], graph), wanted=_sections(form[second], graph)
        )
        for first, second in pairs.items()
    ]
    gone = {*pairs, *pairs.values()}
    left = [one for at, one in enumerate(form) if at not in gone]
    for kind, words in BRIEF_WHOLE.items():
        whole = [one for one in left if one.kind == kind and one.detail in SECTIONS]
        numbers = [number for one in whole for number in one.bars]
        if numbers:
            told.append(words.format(sections=_named(graph, numbers)))
    rest = [one for one in left if one.kind in BRIEF_WHOLE and one.detail not in SECTIONS]
    if len(rest) == 1:
        told.append(brief(rest[0]))
    elif rest:
        told.append(f"the number of bars off in {amount(len(rest), 'place')}")
    return told


def _sections(finding: FormFinding, graph: BarGraph) -> str:
    return _named(graph, finding.bars)


def _named(graph: BarGraph, numbers: Iterable[int]) -> str:
    return sections_in_words(graph, [main_bar(graph, n).section_index for n in numbers])


def brief(finding: FormFinding) -> str:
    """`one bar missing from the tail of Chorus 2`, for a bar missing or too many."""
    bars = amount(finding.count, "bar")
    return BRIEF[finding.kind, finding.tail].format(bars=bars, section=finding.section)


def cost(finding: FormFinding, rubric: Rubric = STEADY) -> float:
    """What a finding takes from the marks, in bars as the faults are counted."""
    return rubric.shares["form"] * price(finding) if is_counted(finding, rubric) else 0.0


def _span(finding: FormFinding) -> tuple[int, ...]:
    if finding.run is None:
        return finding.bars
    return tuple(range(finding.run[0], finding.run[1] + 1))


def _run(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> CountedBars | None:
    """The bars to count against each other, where counting them makes sense."""
    first = main_bar(graph, finding.bars[0])
    written = [graph.bars[index] for index in graph.written]
    if finding.tail:
        bars = [b for b in written if b.tail and b.section_index == first.section_index]
        where = f"{first.section}, the tail"
    elif finding.run is not None:
        bars = [b for b in written if finding.run[0] <= b.number <= finding.run[1]]
        where = first.section
    else:
        return None
    # Any bar of the span may be the one that was lost, wherever the follower put the gap;
    # the others without a playing are left out, where the chart has a range.
    span = _span(finding)
    wanted = len(bars)
    if finding.kind == "missing":
        wanted -= sum(bar.index not in played and bar.number not in span for bar in bars)
    had = wanted - finding.count if finding.kind == "missing" else wanted + finding.count
    if had < 1:
        return None
    alike = {_COLOURS.sub("", bar.text) for bar in bars}
    text = alike.pop()
    of = f" of {text}" if not alike and text != "%" and len(text) <= OF_LENGTH else ""
    return CountedBars(
        where,
        of,
        _sound_alike(finding, graph),
        had,
        wanted,
        at_least=wanted < len(bars),
        numbers=tuple(bar.number for bar in bars if bar.number in span),
    )


def _sound_alike(finding: FormFinding, graph: BarGraph) -> bool:
    """Whether all bars of a finding's run are written with the same chords."""
    return len({_COLOURS.sub("", main_bar(graph, n).text) for n in _span(finding)}) == 1


def _say_whole(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    bars = [main_bar(graph, number) for number in finding.bars]
    bar, several = bars[0], len(bars) > 1
    whole = finding.detail if finding.detail in (*SECTIONS, "line") else ""
    if whole == "line" and finding.tail and not bar.cue:
        whole = "tail"
    if not whole and len({one.section_index for one in bars}) > 1:
        whole = "parts"
    times = max((played.get(one.index, 0) for one in bars), default=0)
    return WHOLE[finding.kind, whole].format(
        section=finding.section,
        sections=where_in_words(graph, bars),
        times=TIMES.get(times, "once more than the chart has it"),
        line=f": the line {quoted(bar.cue)}" if bar.cue else ": a whole line",
        bars=bar_numbers(finding.bars),
        cue=f" ({quoted(bar.cue)})" if bar.cue else "",
        is_are="are" if several else "is",
        it="them" if several else "it",
    )


def _say_halt(finding: FormFinding, graph: BarGraph) -> str:
    where = place(main_bar(graph, finding.bars[0]))
    seconds = f"{finding.halt:.1f} seconds"
    if finding.kind == "break":
        return f"{where}: a halt of {seconds}, without losing the place."
    after = f" after {seconds}" if finding.halt >= 0.05 else ""
    again = f"; {amount(finding.count, 'bar')} came again" if finding.count else ""
    return f"{where}: broken off and taken up here again{after}{again}."


def _say_choice(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    bar = main_bar(graph, finding.bars[0])
    had = sum(
        times
        for index, times in played.items()
        if graph.bars[index].section_index == bar.section_index
        and graph.bars[index].line == bar.line
    )
    return CHOICES[finding.detail].format(
        section=finding.section,
        bars=bar_numbers(finding.bars),
        tail=", the tail" if bar.tail else f", the line {quoted(bar.cue)}" if bar.cue else "",
        had=amount(had, "bar"),
    )
