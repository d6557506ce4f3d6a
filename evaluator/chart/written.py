"""Where in a bar do the notes that are written out fall?

A hand with notes of its own strikes these and nothing of the pattern, whatever the chord
above says: held chords, N.C. and bass rules are about hands that follow the pattern.
Swing moves written eighths as it moves a pattern's; a bar with triplets is left as it is.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import ExpectedStrike, Hand, HeldOrnament, Meter, Span, StrikePart
from evaluator.chart.model import NoteSign, Struck, WrittenBar, WrittenHand
from evaluator.chart.strikes import swung

_A_STEP: Final = (-3, -2, -1, 0, 1, 2, 3)
REACHED: Final[dict[NoteSign, tuple[int, ...]]] = {
    "tr": _A_STEP,
    "turn": _A_STEP,
    "mord": _A_STEP,
    "trem": (0,),
}
"""Semitones from the note to which an ornament goes: to the next step of the scale, which may
be an augmented second, and to the note again."""

LASTING: Final[frozenset[NoteSign]] = frozenset(("tr", "trem"))
"""Ornaments that go on as long as their note is held."""


def with_written_notes(
    strikes: Sequence[ExpectedStrike],
    bar: WrittenBar,
    meter: Meter,
    spans: Sequence[Span],
    *,
    swing: Fraction,
    slack: bool = False,
) -> tuple[ExpectedStrike, ...]:
    """The pattern's strikes, those of each hand with exact notes replaced by these.

    `slack`: the bar begins within a ritard.
    """
    if not bar.hands:
        return tuple(strikes)
    exact = {notes.hand for notes in bar.hands}
    kept = [strike for strike in strikes if strike.hand not in exact]
    for notes in bar.hands:
        for struck, strike in _strikes(notes, meter, spans, swing):
            waits = "hold" in struck.signs or slack_at(bar, struck.place, slack=slack)
            kept.append(replace(strike, waits=True) if waits else strike)
    return tuple(sorted(kept, key=lambda strike: (strike.beat, strike.hand)))


def slack_at(bar: WrittenBar, place: Fraction, *, slack: bool) -> bool:
    """Whether the time may slacken at a place in the bar, given whether it did before."""
    changes = [
        (struck.place, "rit" in struck.signs)
        for notes in bar.hands
        for struck in notes.struck
        if struck.place <= place and ("rit" in struck.signs or "tempo" in struck.signs)
    ]
    return max(changes, default=(place, slack))[1]


def held_over(
    bar: WrittenBar, meter: Meter, ringing: Mapping[Hand, frozenset[int]]
) -> tuple[HeldOrnament, ...]:
    """The ornaments that go on in a bar, given the keys of those that ring at its beginning."""
    return tuple(
        HeldOrnament(notes.held * meter.beats, ringing[notes.hand])
        for notes in bar.hands
        if notes.held and ringing.get(notes.hand)
    )


def ringing_on(
    bar: WrittenBar, ringing: Mapping[Hand, frozenset[int]]
) -> dict[Hand, frozenset[int]]:
    """The keys of the ornaments that may go on behind a bar, by hands."""
    on: dict[Hand, frozenset[int]] = {}
    for notes in bar.hands:
        if notes.struck:
            last = notes.struck[-1]
            reaches = last.place + last.share >= 1
            on[notes.hand] = _played_on(last) if reaches else frozenset()
        elif notes.held >= 1:
            on[notes.hand] = ringing.get(notes.hand, frozenset())
    return on


def _played_on(struck: Struck) -> frozenset[int]:
    """The keys of an ornament that lasts as long as its note: of a trill or a tremolo."""
    if not LASTING.intersection(struck.signs):
        return frozenset()
    return _around(struck, [pitch.key for pitch in struck.pitches])


def _strikes(
    notes: WrittenHand, meter: Meter, spans: Sequence[Span], swing: Fraction
) -> Iterator[tuple[Struck, ExpectedStrike]]:
    quarters = Fraction(4 * meter.beats, meter.unit)
    places = [struck.place * quarters for struck in notes.struck]
    move = swing != 1 and meter.unit <= 4 and all(place.denominator % 3 for place in places)
    for struck, place in zip(notes.struck, places, strict=True):
        span = _span_at(spans, struck.place * meter.beats)
        beat = (swung(place, swing) if move else place) * meter.unit / 4
        keys = tuple(pitch.key for pitch in struck.pitches)
        classes = frozenset(key % 12 for key in keys)
        part = _part(notes.hand, struck, spans[span])
        held = struck.share * meter.beats
        yield (
            struck,
            ExpectedStrike(
                beat,
                notes.hand,
                classes,
                part,
                span,
                keys,
                beats=held / 2 if "short" in struck.signs else held,
                around=_around(struck, keys),
                small=len(struck.graces),
                rolled="roll" in struck.signs,
                short="short" in struck.signs,
            ),
        )


def _around(struck: Struck, keys: Sequence[int]) -> frozenset[int]:
    """The keys of grace notes, and those to which the signs of ornament go."""
    around = {pitch.key for pitch in (*struck.graces, *struck.after)}
    for sign in struck.signs:
        around |= {key + step for key in keys for step in REACHED.get(sign, ())}
    return frozenset(around)


def _span_at(spans: Sequence[Span], beat: Fraction) -> int:
    return max(place for place, span in enumerate(spans) if span.beat <= beat)


def _part(hand: Hand, struck: Struck, span: Span) -> StrikePart:
    if len(struck.pitches) > 1:
        return "chord"
    bass = hand == "left" and struck.pitches[0].name.pc == span.bass
    return "bass" if bass else "tone"
