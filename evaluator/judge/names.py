"""How are the chart's chords and basses, and what was played for them, called in a report?"""

from functools import lru_cache

from evaluator.chart.graph import Bar, Span
from evaluator.theory.naming import name_chord
from evaluator.theory.pitch import note_text
from evaluator.theory.symbol import ChordSymbol


def flats(bar: Bar) -> bool:
    """Whether black keys are spelt as flats in the bar; as sharps where no key is given."""
    return bar.key is not None and bar.key.flats


def bass_name(span: Span, bar: Bar) -> str:
    """Name of the bass that the chart wants there, `C#`; `N.C.` where it wants none."""
    if span.chord is None or span.bass is None:
        return "N.C."
    return _bass_text(span.chord, span.bass, flats(bar))


@lru_cache(maxsize=1024)
def _bass_text(chord: ChordSymbol, bass: int, in_flats: bool) -> str:
    if chord.bass is not None and chord.bass.pc == bass:
        return chord.bass.text
    if chord.root.pc == bass:
        return chord.root.text
    for tone in chord.chord:
        if (chord.root.pc + tone.semitones) % 12 == bass:
            spelt = chord.root.above(tone.degree, tone.semitones)
            if spelt is not None:
                return spelt.text
    return note_text(bass, flats=in_flats)


def chord_name(span: Span, bar: Bar) -> str:
    """Name of the chord that the chart wants there; with its bass, `D/F#`, where a rule of the
    header puts another than the root under it."""
    if span.chord is None:
        return "N.C."
    if span.ruled and span.bass is not None and span.bass != span.chord.root.pc:
        return f"{span.chord.text}/{_bass_text(span.chord, span.bass, flats(bar))}"
    return span.chord.text


def note_name(pc: int, span: Span, bar: Bar) -> str:
    """A single note as it is spelt near the span's chord."""
    if span.chord is not None:
        if pc == span.bass:
            return bass_name(span, bar)
        if pc in span.chord.tones:
            return _bass_text(span.chord.without_bass(), pc, flats(bar))
    return note_text(pc, flats=flats(bar))


def played_name(tones: frozenset[int], bass: int | None, span: Span, bar: Bar) -> str:
    """What a musician calls pitch classes that sound together above a bass; empty for none."""
    return name_chord(tones, bass, flats=flats(bar), near=span.chord) or ""
