"""Which chords do the symbols of a score mean?

Objects of music21 in, chord names of a chart out. A chord symbol is read by root, kind,
degrees and bass, never by the figure that music21 makes of it; a Roman numeral of an
analysis by its tones. What cannot be read becomes N.C. and a remark: nothing is expected
there rather than a guess.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from evaluator.notation.kinds import Degree, quality_of
from evaluator.notation.score import Harmony
from evaluator.theory.naming import name_chord
from evaluator.theory.pitch import NoteName
from evaluator.theory.symbol import ChordSymbolError, parse_chord

_NO_CHORD = frozenset({"n.c.", "n.c", "nc", "no chord"})


class _UnreadableError(Exception):
    """A symbol that no chart can write."""


def read_harmonies(
    measures: Sequence[Any], remarks: list[str]
) -> Mapping[int, tuple[Harmony, ...]]:
    """The chords of each bar, by its index, in order of their offsets."""
    found: dict[int, tuple[Harmony, ...]] = {}
    for place, measure in enumerate(measures):
        chords: dict[Fraction, str | None] = {}
        for text in measure.recurse().getElementsByClass("TextExpression"):
            if str(text.content).strip().casefold() in _NO_CHORD:
                chords[_offset(text, measure)] = None
        for symbol in measure.recurse().getElementsByClass("Harmony"):
            chords[_offset(symbol, measure)] = _guarded(symbol, measure, remarks)
        if chords:
            found[place] = tuple(Harmony(offset, chords[offset]) for offset in sorted(chords))
    return found


def _offset(symbol: Any, measure: Any) -> Fraction:
    return Fraction(symbol.getOffsetInHierarchy(measure))


def _guarded(symbol: Any, measure: Any, remarks: list[str]) -> str | None:
    try:
        return _chord(symbol)
    except (_UnreadableError, RecursionError, AttributeError, LookupError, ValueError, TypeError):
        printed = str(getattr(symbol, "chordKindStr", "") or getattr(symbol, "chordKind", ""))
        called = f"the chord {printed[:30]!r}" if printed else "a chord"
        label = measure.measureNumberWithSuffix()
        remarks.append(f"bar {label}: {called} could not be read; N.C. is written")
        return None


def _chord(symbol: Any) -> str | None:
    """Raises whatever music21 raises, or `_UnreadableError`."""
    if "NoChord" in symbol.classes or getattr(symbol, "chordKind", "") == "none":
        return None
    if "RomanNumeral" in symbol.classes:
        return _by_tones(symbol)
    degrees = [
        Degree(change.modType, change.degree, int(change.interval.semitones))
        if change.interval
        else Degree(change.modType, change.degree, 0)
        for change in symbol.chordStepModifications
    ]
    quality = quality_of(symbol.chordKind, degrees, symbol.chordKindStr or "")
    if quality is None:
        raise _UnreadableError
    root, bass = _name(symbol.root()), _name(symbol.bass())
    text = root + (f"({quality})" if quality[:1] in ("#", "b") else quality)
    return _checked(text if bass == root else f"{text}/{bass}")


def _by_tones(numeral: Any) -> str:
    tones = frozenset(pitch.midi % 12 for pitch in numeral.pitches)
    flats = numeral.key is not None and numeral.key.sharps < 0
    near = None
    root = _name(numeral.root())
    for quality in ("", "m", "7", "m7", "dim"):
        candidate = parse_chord(root + quality)
        if candidate.tones == tones:
            near = candidate
    name = name_chord(tones, numeral.bass().midi % 12, flats=flats, near=near)
    return _checked(name or "")


def _checked(text: str) -> str:
    try:
        return parse_chord(text).text
    except ChordSymbolError as error:
        raise _UnreadableError from error


def _name(pitch: Any) -> str:
    if pitch is None:
        raise _UnreadableError
    alter = int(pitch.accidental.alter) if pitch.accidental else 0
    return NoteName(pitch.step, alter).text
