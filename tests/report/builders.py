"""Songs and judgements made by hand, small enough to be read in a test.

A song is typed as sections of lines; a judgement begins as a run-through with nothing
wrong and is spoiled at chosen bars. Nothing here follows or judges anything.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import zip_longest

from evaluator.chart.graph import Bar, BarGraph, Meter
from evaluator.follow.path import Path, PlayedBar
from evaluator.judge.verdict import (
    BarVerdict,
    FormFinding,
    Judgement,
    Marks,
    PartVerdict,
    RhythmVerdict,
    SpanVerdict,
    StrikeFault,
    Tempo,
)
from evaluator.parts import PARTS
from evaluator.practise.plan import plan
from evaluator.report.build import build_report
from evaluator.report.model import Report
from evaluator.take.model import Repair, Take, make_take

FOUR = Meter(4, 4)
BAR_SECONDS = 2.5


def marks(overall: float, *parts: float | None) -> Marks:
    """Parts in the order of their columns; those left out could not be judged."""
    return Marks(overall, dict(zip_longest(PARTS, parts)))


PERFECT = marks(100.0, 100.0, 100.0, 100.0, 100.0)


@dataclass(frozen=True)
class Line:
    """A line of bars, `D | A | Bm7 | G`, with its words and how often it is played."""

    bars: str
    cue: str = ""
    times: int = 1
    tail: bool = False
    alternative: str = ""


SONG: tuple[tuple[str, tuple[Line, ...]], ...] = (
    ("Intro", (Line("D (Dsus2) | D | D (Dsus2) | D"),)),
    (
        "Verse 1",
        (
            Line("D | A | Bm7 | G", "Down by the kettle where the lane runs thin"),
            Line(
                "D | A | G / Em7 / | A",
                "somebody's humming what the rain let in",
                alternative="D | A | Em7 | A",
            ),
        ),
    ),
    (
        "Chorus",
        (
            Line("G | D/F# | A | D", "Kettle Lane, Kettle Lane, boil me a tune"),
            Line("D", times=4, tail=True),
        ),
    ),
    ("Verse 2", (Line("D | A | Bm7 | G", "Up by the window where the steam goes round"),)),
    (
        "Chorus 2",
        (
            Line("G | D/F# | A | D", "Kettle Lane, Kettle Lane, boil me a tune"),
            Line("D", times=4, tail=True),
        ),
    ),
)


def song(
    sections: Iterable[tuple[str, Iterable[Line]]] = SONG,
    *,
    title: str = "Kettle Lane",
    meter: Meter = FOUR,
    swing: Fraction = Fraction(1),
) -> BarGraph:
    """A graph with everything that a report reads: no spans, no strikes."""
    bars: list[Bar] = []
    written: list[int] = []
    number = 0
    for section_index, (label, lines) in enumerate(sections):
        for line_index, line in enumerate(lines):
            for copy in range(line.times):
                ways = [line.bars, *([line.alternative] if line.alternative else [])]
                for alternative, way in enumerate(ways):
                    for place, text in enumerate(way.split(" | ")):
                        bar = Bar(
                            index=len(bars),
                            number=number + place + 1,
                            section=label,
                            section_index=section_index,
                            occurrence=1,
                            line=line_index,
                            copy=copy,
                            place=place,
                            alternative=alternative,
                            tail=line.tail,
                            meter=meter,
                            seconds_per_beat=BAR_SECONDS / 4,
                            key=None,
                            cue=line.cue,
                            text=text,
                            spans=(),
                            strikes=(),
                        )
                        bars.append(bar)
                        if alternative == 0:
                            written.append(bar.index)
                number += len(line.bars.split(" | "))
    return BarGraph(
        title=title,
        bars=tuple(bars),
        successors=tuple(() for _ in bars),
        starts=(0,),
        finals=(written[-1],),
        written=tuple(written),
        meter=meter,
        bpm=96.0,
        swing=swing,
        has_patterns=True,
    )


def right_bar(graph: BarGraph, index: int, played: int) -> BarVerdict:
    """A bar in which everything was right."""
    chord = graph.bars[index].text.split()[0]
    root, _, slash = chord.partition("/")
    bass = slash or root.removesuffix("m7").removesuffix("7")
    start = 1.0 + (played - 1) * BAR_SECONDS
    return BarVerdict(
        played=played,
        bar=index,
        start=start,
        end=start + BAR_SECONDS,
        bpm=96.0,
        confidence=0.98,
        judged=True,
        chord=PartVerdict(1.0, "right", (SpanVerdict(0.0, chord, chord, "right", 1.0),)),
        bass=PartVerdict(1.0, "right", (SpanVerdict(0.0, bass, bass, "right", 1.0),)),
        rhythm=RhythmVerdict(1.0, 5, (), 4.0, 12.0),
    )


def wrong_chord(bar: BarVerdict, played: str) -> BarVerdict:
    expected = bar.chord.spans[0].expected
    span = SpanVerdict(0.0, expected, played, "wrong", 0.0)
    return replace(bar, chord=PartVerdict(0.0, "wrong", (span,)))


def incomplete_chord(bar: BarVerdict, heard: str) -> BarVerdict:
    expected = bar.chord.spans[0].expected
    span = SpanVerdict(0.0, expected, heard, "incomplete", 0.5)
    return replace(bar, chord=PartVerdict(0.5, "incomplete", (span,)))


def root_for_bass(bar: BarVerdict, wanted: str, root: str) -> BarVerdict:
    span = SpanVerdict(0.0, wanted, root, "wrong", 0.0, root_for_bass=True)
    return replace(bar, bass=PartVerdict(0.0, "wrong", (span,)))


def off_beat(bar: BarVerdict, score: float, *faults: StrikeFault) -> BarVerdict:
    return replace(bar, rhythm=RhythmVerdict(score, 4, faults, 8.0, 30.0))


def brushed(bar: BarVerdict, *keys: str) -> BarVerdict:
    span = replace(bar.chord.spans[0], slips=keys)
    return replace(bar, chord=PartVerdict(0.98, "right", (span,)))


def lost(bar: BarVerdict) -> BarVerdict:
    part = PartVerdict(None, "not judged", ())
    rhythm = RhythmVerdict(None, 0, (), 0.0, 0.0)
    return replace(bar, judged=False, confidence=0.2, chord=part, bass=part, rhythm=rhythm)


def judgement(
    graph: BarGraph,
    order: Iterable[int] | None = None,
    *,
    spoiled: Mapping[int, BarVerdict] | None = None,
    form: Iterable[FormFinding] = (),
    marks: Marks = PERFECT,
    matches: bool = True,
) -> Judgement:
    """`order` are indices of bars as played; `spoiled` replaces verdicts by played number."""
    played = list(graph.written if order is None else order)
    bars = [right_bar(graph, index, at) for at, index in enumerate(played, start=1)]
    for at, verdict in (spoiled or {}).items():
        bars[at - 1] = verdict
    tempo = Tempo(96.0, 92.4, 2.6)
    return Judgement(tuple(bars), tuple(form), tempo, matches, marks)


def path(judged: Judgement, *, complete: bool = True, transposed: int = 0) -> Path:
    bars = tuple(
        PlayedBar(bar.bar, "onward", bar.start, bar.end, 4.0, (), (), 0.0, 0.0, bar.confidence)
        for bar in judged.bars
    )
    return Path(bars, transposed, complete, 0.9, (), ())


def take(*repairs: str) -> Take:
    """Three notes; a report counts them and reads the repairs."""
    said = tuple(Repair("cut", say) for say in repairs)
    return make_take([0.5, 1.0, 1.5], [0.9, 1.4, 2.25], [60, 64, 67], [70, 70, 70], repairs=said)


def report(
    judged: Judgement,
    graph: BarGraph,
    *,
    complete: bool = True,
    transposed: int = 0,
    repairs: tuple[str, ...] = (),
) -> Report:
    told = build_report(
        graph,
        take(*repairs),
        judged,
        path(judged, complete=complete, transposed=transposed),
        chart_file="kettle_lane.txt",
        take_file="monday.mid",
    )
    return replace(told, practise=plan(graph, judged, chart_file="kettle_lane.txt"))


def finding(kind: str, bars: Iterable[int], graph: BarGraph, **more: object) -> FormFinding:
    """A finding whose section, count and tail follow from its bars unless given."""
    numbers = tuple(bars)
    bar = next(graph.bars[i] for i in graph.written if graph.bars[i].number == numbers[0])
    known: dict[str, object] = {
        "kind": kind,
        "bars": numbers,
        "count": len(numbers) if kind in ("missing", "extra") else 0,
        "section": bar.section,
        "tail": bar.tail,
        "at": 31.5,
    }
    return FormFinding(**(known | more))  # type: ignore[arg-type]


def student_take() -> tuple[BarGraph, Judgement]:
    """An ordinary evening: the root under A throughout, a chord mistaken, a beat left
    out, one bar that could not be followed, and a tail one bar short."""
    graph = song()
    order = [index for index in graph.written if graph.bars[index].number != 32]
    whole = judgement(graph, order)
    by_number = {graph.bars[bar.bar].number: bar for bar in whole.bars}
    spoiled = {
        by_number[6].played: root_for_bass(by_number[6], "C#", "A"),
        by_number[10].played: root_for_bass(by_number[10], "C#", "A"),
        by_number[22].played: root_for_bass(by_number[22], "C#", "A"),
        by_number[7].played: wrong_chord(by_number[7], "G"),
        by_number[15].played: off_beat(
            by_number[15],
            0.6,
            StrikeFault("missed", 2.0, "right"),
            StrikeFault("missed", 3.5, "right"),
        ),
        by_number[23].played: brushed(by_number[23], "C"),
        by_number[24].played: lost(by_number[24]),
    }
    form = [finding("missing", [32], graph, run=(29, 32), at=80.2)]
    given = marks(91.2, 96.9, 89.1, 95.0, 93.8)
    return graph, judgement(graph, order, spoiled=spoiled, form=form, marks=given)
