"""What does music21 make of a score, in this program's own terms?

Its parser is believed about notes, lengths, bar lines and words; not about the order of bars
(`unroll` has its own), nor about chords, whose symbols are read by kind and degrees under a
guard: kinds that it does not know send it into endless recursion. Its cache is never read or
written.
"""

import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from evaluator.chart.graph import Meter
from evaluator.notation.feel import feel_of
from evaluator.notation.hand_notes import is_slash, read_hand
from evaluator.notation.harmonies import read_harmonies
from evaluator.notation.losses import not_kept, told
from evaluator.notation.naming import with_chords
from evaluator.notation.parts import TOGETHER, beside, choose, parts_of, sounding
from evaluator.notation.retold import retold
from evaluator.notation.score import MissingLibraryError, Score, ScoreBar, ScoreError, Syllable
from evaluator.notation.signs import heading, marks_of_all, optional
from evaluator.notation.slackening import with_slackening
from evaluator.theory.pitch import Key, NoteName

UNITS = (1, 2, 4, 8, 16, 32)
MOST_BEATS = 32
NOTHING = "There is nothing to play in this score: it has neither notes nor chord symbols."
NO_SENSE = "what it says makes no sense"
_FAULTS = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    RecursionError,
    TypeError,
    ValueError,
)
"""What music21 is known to raise over files that are well formed and make no sense."""


def read_score(xml: bytes) -> Score:
    """The score of a MusicXML text that `guard.safe_score` has let through.

    Raises:
        ScoreError: where music21 is missing, or cannot make a score of the text.
    """
    try:
        from music21 import converter, exceptions21
    except ImportError as error:
        raise MissingLibraryError from error
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            parsed = converter.parse(retold(xml), format="musicxml", forceSource=True)
            score = score_of(parsed)
    except exceptions21.Music21Exception as error:
        reason = " ".join(str(error).split())[:120].rstrip(".") or NO_SENSE
        raise ScoreError(f"This score cannot be read: {reason}.") from error
    except _FAULTS as error:
        raise ScoreError(f"This score cannot be read: {NO_SENSE}.") from error
    remarks = list(score.remarks)
    swing = feel_of(xml, remarks)
    return replace(score, swing=swing, remarks=tuple(remarks))


def score_of(parsed: Any) -> Score:
    """A music21 stream (a score, or one part) as a `Score`.

    Raises:
        ScoreError: a score without bars.
    """
    parts, moved = parts_of(parsed)
    chosen = choose(parts)
    remarks = list(sounding(moved, chosen))
    columns = [list(part.getElementsByClass("Measure")) for part in parts]
    count = max(map(len, columns))
    if not count:
        raise ScoreError("There is no bar in this score.")
    lead = columns[0] if len(columns[0]) == count else max(columns, key=len)
    harmonies = read_harmonies(_measures(chosen.chords), remarks)
    losses: Counter[str] = Counter()
    hands = with_slackening(
        {
            hand: read_hand(_measures(staff), remarks, losses)
            for hand, staff in chosen.staves.items()
        },
        [[column[place] for column in columns if place < len(column)] for place in range(count)],
    )
    voices = [read_hand(_measures(part), remarks, Counter()) for part in chosen.voices]
    marks = marks_of_all(lead, parts)
    words = _measures(chosen.sung)
    meter: Any = None
    bars = []
    for place, measure in enumerate(lead):
        meter = measure.timeSignature or meter
        here = [column[place] for column in columns if place < len(column)]
        length = _length(here, meter)
        remarks += _tempi_within(here)
        bars.append(
            ScoreBar(
                label=measure.measureNumberWithSuffix(),
                meter=_meter(length, meter, measure, remarks),
                harmonies=harmonies.get(place, ()),
                words=_words(words[place]) if place < len(words) else {},
                hands={hand: tones.get(place, ()) for hand, tones in hands.items()},
                slashes=any(is_slash(note) for one in here for note in one.recurse().notes),
                heading=next(filter(None, map(heading, here)), ""),
                optional=any(map(optional, here)),
                bpm=next(filter(None, map(_bpm, here)), None),
                tempo_printed=any(map(_printed, here)),
                key=_key(measure.keySignature),
                new_line=any(
                    layout.isNew for layout in measure.recurse().getElementsByClass("SystemLayout")
                ),
                section_end=getattr(measure.rightBarline, "type", "") == "double",
                marks=marks[place],
            )
        )
    if not any(bar.harmonies or bar.slashes or any(bar.hands.values()) for bar in bars) and not any(
        tones for voice in voices for tones in voice.values()
    ):
        raise ScoreError(NOTHING)
    if voices:
        bars = list(with_chords(bars, voices))
        remarks.append(TOGETHER.format(parts=len(parts)))
    if hands:
        staves = list(chosen.staves.values())
        signs, notes = not_kept(staves, bars)
        remarks += [*beside(parts, chosen), *told(signs, losses + notes)]
    title, by = _titles(parsed)
    return Score(title, by, tuple(bars), tuple(remarks))


def _measures(part: Any) -> list[Any]:
    return list(part.getElementsByClass("Measure")) if part is not None else []


def _length(measures: Sequence[Any], meter: Any) -> Fraction:
    """What is written in the bar, in quarter notes; the meter's for an empty one, and for one in
    which only rests go beyond it, as behind cue notes."""
    ends: dict[bool, Fraction] = {True: Fraction(0), False: Fraction(0)}
    for measure in measures:
        for note in measure.recurse().notesAndRests:
            if not note.duration.isGrace and getattr(note.style, "noteSize", None) != "cue":
                end = Fraction(note.getOffsetInHierarchy(measure)) + Fraction(note.quarterLength)
                ends[note.isRest] = max(ends[note.isRest], end)
    whole = Fraction(meter.barDuration.quarterLength) if meter else None
    if whole is not None and ends[False] <= whole < ends[True]:
        return whole
    return max(ends.values()) or whole or Fraction(4)


def _meter(length: Fraction, signature: Any, measure: Any, remarks: list[str]) -> Meter:
    """The meter of a bar of that length, in the note value of the time signature."""
    unit = signature.denominator if signature and signature.denominator in UNITS else 4
    if signature and Fraction(signature.barDuration.quarterLength) == length:
        whole = Meter(signature.numerator, unit)
        if whole.beats <= MOST_BEATS and Fraction(4 * whole.beats, unit) == length:
            return whole
    for finer in UNITS[UNITS.index(unit) :]:
        beats = length * finer / 4
        if beats.denominator == 1 and beats <= MOST_BEATS:
            return Meter(int(beats), finer)
    nearest = min(MOST_BEATS, max(1, round(length * unit / 4)))
    label = measure.measureNumberWithSuffix()
    remarks.append(f"bar {label}: its length fits no meter; {nearest}/{unit} is written")
    return Meter(nearest, unit)


def _words(measure: Any) -> dict[int, tuple[Syllable, ...]]:
    verses: dict[int, list[Syllable]] = {}
    for note in measure.recurse().notesAndRests:
        for lyric in note.lyrics:
            if lyric.text:
                goes_on = lyric.syllabic in ("begin", "middle")
                verses.setdefault(lyric.number, []).append(Syllable(lyric.text, goes_on))
    return {number: tuple(syllables) for number, syllables in verses.items()}


def _bpm(measure: Any) -> float | None:
    """Quarter notes per minute by a mark at the beginning of the bar, not by a mere word."""
    for mark in measure.recurse().getElementsByClass("MetronomeMark"):
        if mark.offset == 0 and not (mark.numberImplicit and mark.numberSounding is None):
            return mark.getQuarterBPM() or None
    return None


def _tempi_within(measures: Sequence[Any]) -> Iterator[str]:
    """What is said of tempi that a chart, which has one a section, cannot keep."""
    bar = f"bar {measures[0].measureNumberWithSuffix()}"
    marks = [
        mark for one in measures for mark in one.recurse().getElementsByClass("TempoIndication")
    ]
    if any("MetricModulation" in mark.classes for mark in marks):
        yield f"{bar}: a tempo that is told by note values alone is left out"
    if any(mark.offset and getattr(mark, "number", None) is not None for mark in marks):
        yield f"{bar}: a tempo that begins within the bar is left out"


def _printed(measure: Any) -> bool:
    """Whether the tempo stands over the bar, and is not only for playing the score back."""
    marks = measure.recurse().getElementsByClass("MetronomeMark")
    return any(m.offset == 0 and m.number is not None and not m.numberImplicit for m in marks)


def _key(signature: Any) -> Key | None:
    if signature is None:
        return None
    named = signature if hasattr(signature, "tonic") else signature.asKey()
    if named.mode not in ("major", "minor"):
        named = signature.asKey("major")
    alter = named.tonic.accidental.alter if named.tonic.accidental else 0
    return Key(NoteName(named.tonic.step, int(alter)), named.mode)


def _titles(parsed: Any) -> tuple[str, str]:
    metadata = parsed.metadata
    if metadata is None:
        return "", ""
    title = metadata.title or metadata.movementName or ""
    return str(title), str(metadata.composer or "")
