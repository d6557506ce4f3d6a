"""Where in a bar do the notes that are written out fall?

A hand with notes of its own strikes these and nothing of the pattern, whatever the chord
above says: held chords, N.C. and bass rules are about hands that follow the pattern.
Swing moves written eighths as it moves a pattern's; a bar with triplets is left as it is.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from evaluator.chart.graph import ExpectedStrike, Hand, Meter, Part, Span
from evaluator.chart.model import Struck, WrittenBar, WrittenHand
from evaluator.chart.strikes import swung


def with_written_notes(
    strikes: Sequence[ExpectedStrike],
    bar: WrittenBar,
    meter: Meter,
    spans: Sequence[Span],
    *,
    swing: Fraction,
) -> tuple[ExpectedStrike, ...]:
    """The pattern's strikes, those of each hand with exact notes replaced by these."""
    if not bar.hands:
        return tuple(strikes)
    exact = {notes.hand for notes in bar.hands}
    kept = [strike for strike in strikes if strike.hand not in exact]
    for notes in bar.hands:
        kept += _strikes(notes, meter, spans, swing)
    return tuple(sorted(kept, key=lambda strike: (strike.beat, strike.hand)))


def _strikes(
    notes: WrittenHand, meter: Meter, spans: Sequence[Span], swing: Fraction
) -> Iterator[ExpectedStrike]:
    quarters = Fraction(4 * meter.beats, meter.unit)
    places = [struck.place * quarters for struck in notes.struck]
    move = swing != 1 and meter.unit <= 4 and all(place.denominator % 3 for place in places)
    for struck, place in zip(notes.struck, places, strict=True):
        span = _span_at(spans, struck.place * meter.beats)
        beat = (swung(place, swing) if move else place) * meter.unit / 4
        keys = tuple(pitch.key for pitch in struck.pitches)
        classes = frozenset(key % 12 for key in keys)
        part = _part(notes.hand, struck, spans[span])
        yield ExpectedStrike(beat, notes.hand, classes, part, span, keys)


def _span_at(spans: Sequence[Span], beat: Fraction) -> int:
    return max(place for place, span in enumerate(spans) if span.beat <= beat)


def _part(hand: Hand, struck: Struck, span: Span) -> Part:
    if len(struck.pitches) > 1:
        return "chord"
    bass = hand == "left" and struck.pitches[0].name.pc == span.bass
    return "bass" if bass else "tone"
