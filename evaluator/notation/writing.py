"""How is a chart written as MusicXML?

Each line of the chart is a system; counted lines stand between repeat signs, sections under
rehearsal marks. What MusicXML has no sign for (an `or` line, a line played two times or more,
a section that may be left out, a colour) is written above the staff in words. What fills the
bars is `notes_out`'s.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import zip_longest
from typing import Any
from xml.etree.ElementTree import Element

from evaluator.chart import compile_chart
from evaluator.chart.graph import HANDS, Bar, BarGraph, Hand
from evaluator.chart.model import Chart, Count, Line, WrittenBar
from evaluator.chart.values import swing_text
from evaluator.notation.carried import put
from evaluator.notation.kinds import kind_of
from evaluator.notation.notes_out import m21, m21_name, share, write_notes, write_ties
from evaluator.notation.score import MissingLibraryError
from evaluator.notation.staff import Event, Staff, Voicing, slashes, spelt_class
from evaluator.notation.stretches import keep, put_in, stretches
from evaluator.theory.pitch import NoteName
from evaluator.theory.symbol import ChordSymbol

_NOBODY = b'<creator type="composer">Music21</creator>'
"""What music21 writes where the composer is not known."""


def write_score(chart: Chart) -> bytes:
    """The MusicXML of a chart, UTF-8.

    Raises:
        MissingLibraryError: where music21 is missing.
        ChartError: for a form that cannot be laid out.
    """
    try:
        from music21.musicxml.m21ToXml import ScoreExporter
    except ImportError as error:
        raise MissingLibraryError from error
    # Swung eighths are written straight, and the swing is said.
    straight = replace(chart, header=replace(chart.header, swing=Fraction(1)))
    writer = _Writer(chart, compile_chart(straight))
    parts: list[list[Element]] = []
    whole: Any = None
    for stretch in stretches(writer.count):
        score = writer.score(stretch.written)
        # Every bar is full already, so that no copy with rests in the gaps is wanted.
        score.makeNotation(inPlace=True)
        exporter = ScoreExporter(score)
        kept = keep(exporter.parse(), stretch)
        whole = whole or exporter
        parts = [[*so_far, *more] for so_far, more in zip_longest(parts, kept, fillvalue=())]
    put_in(whole.xmlRoot, parts)
    put(whole.xmlRoot, chart.text)
    xml: bytes = whole.asBytes()
    return xml if chart.header.by else xml.replace(_NOBODY, b"")


@dataclass(frozen=True, slots=True)
class _Place:
    """A bar of the song with what stands around it in the chart."""

    bar: Bar
    written: WrittenBar
    line: Line
    count: Count
    words: Sequence[str]
    """Of this bar."""

    @property
    def first(self) -> bool:
        return self.bar.place == 0

    @property
    def last(self) -> bool:
        return self.bar.place == len(self.line.ways[0].bars) - 1


class _Writer:
    """Makes scores of a chart's bars; what each hand plays is known for all of them."""

    def __init__(self, chart: Chart, graph: BarGraph) -> None:
        self._chart = chart
        self._places = list(_places(chart, graph))
        self._staves: dict[Hand, list[list[Event]]] = {}
        if graph.has_patterns:
            voicing = Voicing()
            for hand in HANDS[::-1]:
                staff = Staff(hand, voicing)
                self._staves[hand] = [staff.events(one.bar, one.written) for one in self._places]

    @property
    def count(self) -> int:
        return len(self._places)

    def score(self, bars: range) -> Any:
        """These bars, of all that are printed, as a score of their own."""
        score = m21().stream.Score()
        header = self._chart.header
        score.metadata = m21().metadata.Metadata(title=header.title, composer=header.by or None)
        if not self._staves:
            part = m21().stream.Part()
            self._fill(part, bars, None)
            score.insert(0, part)
            return score
        staves = []
        for hand in HANDS[::-1]:
            staff = m21().stream.PartStaff()
            self._fill(staff, bars, hand)
            staves.append(staff)
            score.insert(0, staff)
        score.insert(0, m21().layout.StaffGroup(staves, symbol="brace"))
        return score

    def _fill(self, part: Any, bars: range, hand: Hand | None) -> None:
        """`hand` is None for the slashes of a lead sheet."""
        before: Bar | None = None
        upper = hand != "left"
        for at in bars:
            place = self._places[at]
            measure = m21().stream.Measure(number=at + 1)
            events = self._staves[hand][at] if hand else slashes(place.bar)
            if before is None:
                measure.clef = m21().clef.TrebleClef() if upper else m21().clef.BassClef()
            _write_signs(measure, place, before, self._chart, upper=upper)
            write_notes(measure, events, place.words if upper else ())
            part.append(measure)
            before = place.bar
        write_ties(part)


def _places(chart: Chart, graph: BarGraph) -> Iterator[_Place]:
    for bar in graph.bars:
        if bar.copy or bar.alternative:
            continue
        section = chart.sections[bar.section_index]
        line = section.lines[bar.line]
        words = share(line.ways[0].cue.split(), len(line.ways[0].bars))[bar.place]
        written = line.ways[0].bars[bar.place]
        yield _Place(bar, written, line, section.count_of(bar.line), words)


def _write_signs(
    measure: Any, place: _Place, before: Bar | None, chart: Chart, *, upper: bool
) -> None:
    bar = place.bar
    if before is None or bar.meter != before.meter:
        measure.timeSignature = m21().meter.TimeSignature(str(bar.meter))
    if bar.key is not None and (before is None or bar.key != before.key):
        tonic = m21_name(bar.key.tonic)
        measure.keySignature = m21().key.Key(tonic, bar.key.mode)
    if before is not None and place.first:
        measure.insert(0, m21().layout.SystemLayout(isNew=True))
    if place.count.written > 1:
        if place.first:
            measure.leftBarline = m21().bar.Repeat(direction="start")
        if place.last:
            measure.rightBarline = m21().bar.Repeat(direction="end", times=place.count.written)
    if upper:
        _write_words(measure, place, before, chart)
        _write_chords(measure, place)


def _write_words(measure: Any, place: _Place, before: Bar | None, chart: Chart) -> None:
    """What stands above the staff: section, tempo, and the form in words."""
    bar = place.bar
    if before is None or bar.section_index != before.section_index:
        measure.insert(0, m21().expressions.RehearsalMark(bar.section))
        if chart.sections[bar.section_index].optional:
            measure.insert(0, m21().expressions.TextExpression("may be left out"))
    if before is None or _whole(bar) != _whole(before):
        beat = m21().duration.Duration(4 / bar.meter.unit)
        bpm = round(60 / bar.seconds_per_beat, 3)
        measure.insert(0, m21().tempo.MetronomeMark(number=bpm, referent=beat))
    said = []
    if before is None and chart.header.swing != 1:
        said.append(f"swing {swing_text(chart.header.swing)}")
    if place.first:
        said += _choices(place)
    for text in said:
        measure.insert(0, m21().expressions.TextExpression(text))


def _whole(bar: Bar) -> float:
    """Seconds that a whole note lasts: the tempo, whatever the meter counts."""
    return round(bar.seconds_per_beat * bar.meter.unit, 6)


def _choices(place: _Place) -> Iterator[str]:
    count = place.count
    if count.high is None:
        yield f"{count.low} times or more"
    elif count.high != count.low:
        yield f"{count.low} to {count.high} times"
    for way in place.line.ways[1:]:
        yield "or: | " + " | ".join(bar.text for bar in way.bars) + " |"


def _write_chords(measure: Any, place: _Place) -> None:
    bar = place.bar
    # One chord goes on by itself; two come anew.
    again = len(bar.spans) == 1 and place.written.text.split()[-1] == "%"
    for span in bar.spans if not again else ():
        offset = span.beat * 4 / bar.meter.unit
        if span.chord is None:
            measure.insert(offset, m21().harmony.NoChord("N.C."))
            continue
        bass = None
        if span.ruled and span.bass is not None:
            bass = spelt_class(span.bass, span, bar)
        measure.insert(offset, _symbol(span.chord, bass))
        if span.colours:
            names = " ".join(colour.text for colour in span.colours)
            measure.insert(offset, m21().expressions.TextExpression(f"({names})"))


def _symbol(chord: ChordSymbol, ruled: NoteName | None) -> Any:
    """A chord symbol by root, kind, degrees and bass, which a bass rule may have set."""
    kind, degrees = kind_of(chord)
    symbol = m21().harmony.ChordSymbol()
    symbol.root(m21_name(chord.root))
    symbol.bass(m21_name(ruled or chord.bass or chord.root), allow_add=True)
    symbol.chordKind = kind
    symbol.chordKindStr = chord.quality
    for degree in degrees:
        symbol.addChordStepModification(
            m21().harmony.ChordStepModification(degree.how, degree.degree, degree.alter),
            updatePitches=False,
        )
    return symbol
