"""What chart does a sheet make by itself, with no one playing?

A bar a chord, or the bars of the sheet where it has bar lines. Everything else that a chart
has to say and a sheet does not is assumed, and said.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from evaluator.chart.graph import Meter
from evaluator.chart.header import COMMON_TIME
from evaluator.chart.typed import ASSUMED_BPM
from evaluator.draft.key import key_of
from evaluator.draft.model import Draft, DraftBar, DraftLine, DraftSection, DraftSpan
from evaluator.draft.sheet import Sheet, SheetLine
from evaluator.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class Asked:
    """What the teacher said beside the sheet; None for what was left open."""

    tempo: float | None = None
    meter: Meter | None = None


def draft_sheet(sheet: Sheet, asked: Asked) -> Draft:
    """A draft of the sheet alone."""
    remarks = list(sheet.remarks)
    meter = asked.meter or sheet.meter
    if meter is None:
        meter = COMMON_TIME
        remarks.append(f"the sheet gives no meter; {meter} is assumed")
    tempo = asked.tempo or sheet.tempo
    if tempo is None:
        tempo = ASSUMED_BPM
        remarks.append(
            f"the sheet gives no tempo; {tempo:g} is assumed: write the song's own for it"
        )
    sections = tuple(
        DraftSection(
            section.name,
            tuple(_line(line, meter) for line in section.lines),
            remarks=section.remarks,
        )
        for section in sheet.sections
    )
    chords = [c for s in sheet.sections for line in s.lines for c in line.chords if c]
    key = sheet.key or key_of(chords, [1.0] * len(chords))
    if sheet.key is None and key is not None:
        remarks.append(f"the key is guessed from the chords: {key.tonic.text} {key.mode}")
    if any(bar.assumed for section in sections for bar in section.bars):
        remarks.append(
            "the sheet does not say how long a chord lasts; one bar per chord is assumed"
        )
    return Draft(
        sheet.title,
        meter,
        tempo,
        sections,
        by=sheet.by,
        key=key,
        remarks=tuple(remarks),
        tempo_stated=(asked.tempo or sheet.tempo) is not None,
    )


def _line(line: SheetLine, meter: Meter) -> DraftLine:
    bars: list[DraftBar] = []
    for group in _bars_of(line, meter):
        beats = [beats for _, beats in group]
        if sum(beats) == meter.beats and max(beats) > 1:
            bars.append(DraftBar(meter, tuple(DraftSpan(*one) for one in group)))
        else:
            bars += _shared([chord for chord, _ in group], meter, barred=line.barred)
    return DraftLine(tuple(bars), line.words, line.count, line.remarks)


_Group = Sequence[tuple[ChordSymbol | None, int]]


def _bars_of(line: SheetLine, meter: Meter) -> list[_Group]:
    """Chords and beats by bar; where slashes count the beats they make bars by themselves."""
    beats = line.beats or tuple((1,) * len(bar) for bar in line.bars)
    groups: list[_Group] = [
        list(zip(bar, counts, strict=True)) for bar, counts in zip(line.bars, beats, strict=True)
    ]
    if line.barred:
        return groups
    full: list[list[tuple[ChordSymbol | None, int]]] = [[]]
    for one in (one for group in groups for one in group):
        if sum(count for _, count in full[-1]) >= meter.beats:
            full.append([])
        full[-1].append(one)
    fits = all(sum(count for _, count in bar) == meter.beats for bar in full)
    counted = any(count > 1 for bar in beats for count in bar)
    return [*full] if fits and counted else groups


def _shared(
    chords: Sequence[ChordSymbol | None], meter: Meter, *, barred: bool
) -> Iterator[DraftBar]:
    """Chords that share a bar; more of them than a bar has beats go on in another one."""
    for place in range(0, len(chords), meter.beats):
        part = chords[place : place + meter.beats]
        each, rest = divmod(meter.beats, len(part))
        spans = tuple(
            DraftSpan(chord, each + (rest if number == 0 else 0))
            for number, chord in enumerate(part)
        )
        doubts = (f"{len(part)} chords share {meter.beats} beats; how long is each?",)
        yield DraftBar(meter, spans, doubts=doubts if rest else (), assumed=not barred)
