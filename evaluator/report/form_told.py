"""What is to be said about the form: bars missing or too many, breaks, choices?

One sentence a finding, in the words of the lesson: the tail of a chorus, a line by its
first words, a section by its name. When the bars of a run sound alike, nobody can hear
which of them is missing; then the count is told, and that only the count is certain.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.marks import is_counted, price
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import FormFinding
from evaluator.report import form_words
from evaluator.report.form_pairs import HABIT, SECTIONS, in_place, later, nearly_all
from evaluator.report.places import (
    amount,
    bar_numbers,
    capital,
    main_bar,
    place,
    places,
    quoted,
    sections_in_words,
    where_in_words,
)

OF_LENGTH: Final = 12
"""Longest bar text that `three bars of D` may name."""
A_BEAT: Final = 0.3
"""Part of a beat by which a halt of one may differ from it."""

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
    # Where it may have been a whole section or line, that is the simplest reading.
    whole = finding.detail in SECTIONS or (finding.detail == "line" and not finding.tail)
    run = None if whole else _run(finding, graph, played)
    if run is None:
        return _say_whole(finding, graph, played)
    unsure = finding.run is not None and finding.run[0] < finding.run[1]
    if unsure and finding.kind == "missing" and not run.alike:
        return (form_words.COUNTED_MISSING + form_words.UNSURE).format(
            where=run.where,
            count=amount(finding.count, "bar").split()[0],
            bars=bar_numbers(run.numbers),
            is_are="is" if finding.count == 1 else "are",
        )
    wanted = amount(run.wanted, "bar").split()[0]
    sentence = form_words.COUNTED.format(
        where=run.where,
        had=f"{amount(run.had, 'bar')}{run.of}",
        wanted=form_words.AT_LEAST.format(count=wanted) if run.at_least else wanted,
        bars=bar_numbers(run.numbers),
    )
    if not unsure:
        return sentence
    return sentence + (form_words.ALIKE if run.alike else form_words.UNSURE)


def say_all(
    form: Sequence[FormFinding], graph: BarGraph, played: Mapping[int, int]
) -> tuple[str, ...]:
    """One sentence for each finding; two that are one mistake have the same."""
    told = [say(finding, graph, played) for finding in form]
    for first, second in in_place(graph, form).items():
        told[first] = told[second] = form_words.IN_PLACE.format(
            played=_sections(form[first], graph),
            wanted=_sections(form[second], graph),
            bars=bar_numbers(form[second].bars),
        )
    for first, second in later(form).items():
        told[first] = told[second] = _say_later(form[first], graph)
    return tuple(told)


def _say_later(finding: FormFinding, graph: BarGraph) -> str:
    cue = main_bar(graph, finding.bars[0]).cue
    return form_words.LATER[finding.detail].format(
        section=finding.section,
        sections=_sections(finding, graph),
        line=form_words.LINE[not cue].format(quoted=quoted(cue)),
        bars=bar_numbers(finding.bars),
    )


def briefs(graph: BarGraph, form: Sequence[FormFinding]) -> list[str]:
    """What to say of bars missing and too many in a headline, whole sections taken together."""
    pairs = in_place(graph, form)
    told = [
        form_words.BRIEF_IN_PLACE.format(
            played=_sections(form[first], graph), wanted=_sections(form[second], graph)
        )
        for first, second in pairs.items()
    ]
    moved = later(form)
    told += [
        form_words.BRIEF_LATER[form[first].detail].format(
            section=form[first].section, sections=_sections(form[first], graph)
        )
        for first in moved
    ]
    gone = {*pairs, *pairs.values(), *moved, *moved.values()}
    left = [one for at, one in enumerate(form) if at not in gone]
    for kind, words in form_words.BRIEF_WHOLE.items():
        whole = [one for one in left if one.kind == kind and one.detail in SECTIONS]
        numbers = [number for one in whole for number in one.bars]
        if numbers:
            told.append(words.format(sections=_named(graph, numbers)))
    rest = [
        one for one in left if one.kind in form_words.BRIEF_WHOLE and one.detail not in SECTIONS
    ]
    if len(rest) == 1:
        told.append(brief(rest[0]))
    elif rest:
        told.append(form_words.BRIEF_PLACES.format(places=amount(len(rest), "place")))
    return told


def _sections(finding: FormFinding, graph: BarGraph) -> str:
    return _named(graph, finding.bars)


def _named(graph: BarGraph, numbers: Iterable[int]) -> str:
    return sections_in_words(graph, [main_bar(graph, n).section_index for n in numbers])


def brief(finding: FormFinding) -> str:
    """`one bar missing from the tail of Chorus 2`, for a bar missing or too many."""
    bars = amount(finding.count, "bar")
    return form_words.BRIEF[finding.kind, finding.tail].format(bars=bars, section=finding.section)


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
        where = form_words.TAIL.format(section=first.section)
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
    of = (
        form_words.OF.format(chord=text)
        if not alike and text != "%" and len(text) <= OF_LENGTH
        else ""
    )
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
    if finding.tail and not bar.cue and (whole == "line" or finding.kind == "missing"):
        whole = "tail"
    if not whole and len({one.section_index for one in bars}) > 1:
        whole = "parts"
    times = max((played.get(one.index, 0) for one in bars), default=0)
    return form_words.WHOLE[finding.kind, whole].format(
        section=finding.section,
        sections=where_in_words(graph, bars),
        times=form_words.TIMES.get(times, form_words.TOO_OFTEN),
        line=form_words.LINE[not bar.cue].format(quoted=quoted(bar.cue)),
        bars=bar_numbers(finding.bars),
        cue=f" ({quoted(bar.cue)})" if bar.cue else "",
        is_are="are" if several else "is",
        was_were="were" if several else "was",
    )


def say_halts(halts: Sequence[FormFinding], graph: BarGraph, beat: float) -> str:
    """One sentence on several halts, or several restarts; `beat` is what one takes, seconds."""
    bars = [main_bar(graph, finding.bars[0]) for finding in halts]
    restarts = halts[0].kind == "restart"
    times = form_words.TIMES.get(len(halts), amount(len(halts), "time"))
    lines = nearly_all([bar.place == 0 for bar in bars], form_words.BEFORE_LINES)
    if len(bars) >= HABIT and all(bar.place == 0 and bar.line == 0 for bar in bars):
        lines = form_words.BEFORE_SECTIONS
    a_beat = all(abs(one.halt - beat) <= A_BEAT * beat for one in halts)
    case = "beat" if a_beat and not restarts else halts[0].kind
    return form_words.SEVERAL[case].format(
        count=times if restarts else capital(amount(len(halts), "halt")),
        seconds=sum(finding.halt for finding in halts),
        lines=lines,
        places=places(bars),
    )


def _say_halt(finding: FormFinding, graph: BarGraph) -> str:
    where = place(main_bar(graph, finding.bars[0]))
    if finding.kind == "break":
        return form_words.BREAK.format(where=where, seconds=finding.halt)
    after = form_words.AFTER.format(seconds=finding.halt) if finding.halt >= 0.05 else ""
    again = form_words.AGAIN.format(bars=amount(finding.count, "bar")) if finding.count else ""
    return form_words.RESTART.format(where=where, after=after, again=again)


def _say_choice(finding: FormFinding, graph: BarGraph, played: Mapping[int, int]) -> str:
    bar = main_bar(graph, finding.bars[0])
    had = sum(
        times
        for index, times in played.items()
        if graph.bars[index].section_index == bar.section_index
        and graph.bars[index].line == bar.line
    )
    line = form_words.CHOSEN_LINE[0 if bar.tail else 1 if bar.cue else 2]
    return form_words.CHOICES[finding.detail].format(
        section=finding.section,
        bars=bar_numbers(finding.bars),
        line=line.format(quoted=quoted(bar.cue)),
        had=amount(had, "bar"),
    )
