"""What was played where the chart wanted something else, tone by tone?

A row for each chord and each bass note that was not right, with the names that the
verdict gives them and with the tones: those the chart wants, and those that were struck
while it wanted them, the lowest first.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from evaluator.chart.graph import Bar, Span
from evaluator.follow.path import PlayedBar
from evaluator.grading import Graded
from evaluator.judge.names import note_name
from evaluator.judge.verdict import SpanVerdict
from evaluator.report.places import beat_words
from evaluator.theory.symbol import ChordSymbol, ChordSymbolError, parse_chord

NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Wrong:
    """One chord or bass note that was not right."""

    number: int
    section: str
    part: str
    beat: str
    """Where in the bar; empty at its beginning."""
    wanted: str
    wanted_tones: tuple[str, ...]
    played: str
    played_tones: tuple[tuple[str, bool], ...]
    """Each with whether the chart wants it there."""
    bar: int
    turn: int
    """Number of the played bar, from 1."""


def what_was_wrong(graded: Graded) -> tuple[Wrong, ...]:
    """Every wrong, incomplete or missing chord and bass, in the order of playing."""
    return tuple(_rows(graded))


def _rows(graded: Graded) -> Iterator[Wrong]:
    graph = graded.song.graph
    for verdict, played in zip(graded.judgement.bars, graded.path.bars, strict=True):
        bar = graph.bars[verdict.bar]
        for part, spans in (("chord", verdict.chord.spans), ("bass", verdict.bass.spans)):
            for place, said in enumerate(spans if verdict.judged else ()):
                if said.word in ("right", "not judged"):
                    continue
                span = bar.spans[place]
                keys = _struck(graded, played, span)
                yield Wrong(
                    number=bar.number,
                    section=bar.section,
                    part=part,
                    beat=beat_words(said.beat, graph, bar) if said.beat else "",
                    wanted=said.expected,
                    wanted_tones=_tones(span, bar) if part == "chord" else (),
                    played=_called(said, keys, part),
                    played_tones=_heard(said, keys, span, bar) if part == "chord" else (),
                    bar=bar.index,
                    turn=verdict.played,
                )


def _called(said: SpanVerdict, keys: list[int], part: str) -> str:
    if said.played:
        return said.played
    return "something else" if keys and part == "chord" else NOTHING


def _struck(graded: Graded, played: PlayedBar, span: Span) -> list[int]:
    """Keys struck while the span lasted, in the chart's pitch, lowest first."""
    begin, end = float(span.beat) - 0.01, float(span.beat + span.beats) - 0.01
    keys = {
        pitch - graded.path.transposed
        for placed in played.strikes
        if begin <= placed.beat < end
        for pitch in graded.strikes[placed.strike].pitches
    }
    return sorted(keys)


def _tones(span: Span, bar: Bar) -> tuple[str, ...]:
    """The chord's tones as it is built up from its root."""
    if span.chord is None:
        return ()
    root = span.chord.root.pc
    order = sorted(span.chord.without_bass().tones, key=lambda pc: (pc - root) % 12)
    return tuple(note_name(pc, span, bar) for pc in order)


def _heard(
    said: SpanVerdict, keys: Iterable[int], span: Span, bar: Bar
) -> tuple[tuple[str, bool], ...]:
    """Tones from the lowest key up, each once, spelt as in the chord that they make."""
    try:
        spelt = _spelling(parse_chord(said.played))
    except ChordSymbolError:
        spelt = {}
    classes = dict.fromkeys(key % 12 for key in keys)
    return tuple((spelt.get(pc) or note_name(pc, span, bar), pc in span.allowed) for pc in classes)


def _spelling(chord: ChordSymbol) -> dict[int, str]:
    """Pitch classes of a chord and their names in it: the third of Gm is Bb."""
    names = (chord.root.above(tone.degree, tone.semitones) for tone in chord.chord)
    return {name.pc: name.text for name in names if name is not None}
