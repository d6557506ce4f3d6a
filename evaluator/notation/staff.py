"""What stands on a staff in each bar of a chart?

Notes and rests that fill the bar, one after another, for one hand. Exact notes are held as
long as the chart says; a pattern's strikes until the hand strikes again. A chart without
patterns gets a slash on every beat, as lead sheets have them, and so does the upper staff
where any rhythm will do.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from evaluator.chart.graph import Bar, ExpectedStrike, Hand, Span
from evaluator.chart.model import NoteSign, WrittenBar, WrittenHand
from evaluator.practise.voicing import bass_key, next_chord, tone_key
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import NoteName, note_text, parse_note


@dataclass(frozen=True, slots=True)
class Event:
    """Something on a staff that takes time."""

    quarters: Fraction
    pitches: tuple[Pitch, ...] = ()
    """None for a rest."""
    tied: bool = False
    """Held from the event before, not struck."""
    slash: bool = False
    graces: tuple[Pitch, ...] = ()
    after: tuple[Pitch, ...] = ()
    signs: tuple[NoteSign, ...] = ()
    """What stands around notes that are written out."""


class Voicing:
    """On which keys a pattern's chords and basses are written down.

    A pattern says what to strike, not where. On paper as in the guides the right hand takes chords
    in close position, each the shortest way from the last (`evaluator.practise.voicing`); what the
    left hand adds to its bass lies above it.
    """

    def __init__(self) -> None:
        self._right: tuple[int, ...] = ()

    def keys(self, strike: ExpectedStrike, span: Span) -> tuple[int, ...]:
        """MIDI keys for one strike of a pattern, low to high."""
        if strike.pitches:
            return strike.pitches
        tones = strike.pitch_classes
        if strike.hand == "left":
            bass = bass_key(span.bass or 0, broken=False)
            return tuple(sorted(bass + (tone - bass) % 12 for tone in tones))
        if strike.part == "tone":
            return tuple(tone_key(tone, self._right) for tone in sorted(tones))
        self._right = next_chord(tones, self._right)
        return self._right


class Staff:
    """Writes one hand's bars in order."""

    def __init__(self, hand: Hand, voicing: Voicing) -> None:
        self.hand = hand
        self._voicing = voicing
        self._sounding: tuple[Pitch, ...] = ()

    def events(self, bar: Bar, written: WrittenBar) -> list[Event]:
        """What fills the bar."""
        exact = [notes for notes in written.hands if notes.hand == self.hand]
        if bar.free and not exact:
            self._sounding = ()
            whole = Event(Fraction(4 * bar.meter.beats, bar.meter.unit))
            return slashes(bar) if self.hand == "right" else [whole]
        timed = self._exact(exact[0]) if exact else self._patterned(bar)
        quarters = Fraction(4 * bar.meter.beats, bar.meter.unit)
        events = list(_filled([(start, end, event) for start, end, event in timed]))
        self._sounding = events[-1].pitches if events else ()
        return [replace(event, quarters=event.quarters * quarters) for event in events]

    def _exact(self, notes: WrittenHand) -> Iterator[tuple[Fraction, Fraction, Event]]:
        """Beginning and end as parts of the bar."""
        if notes.held and self._sounding:
            held = Event(notes.held, self._sounding, tied=True)
            yield Fraction(0), notes.held, held
        for struck in notes.struck:
            event = Event(
                struck.share,
                struck.pitches,
                graces=struck.graces,
                after=struck.after,
                signs=struck.signs,
            )
            yield struck.place, struck.place + struck.share, event

    def _patterned(self, bar: Bar) -> Iterator[tuple[Fraction, Fraction, Event]]:
        strikes = [strike for strike in bar.strikes if strike.hand == self.hand]
        silences = [span.beat for span in bar.spans if span.chord is None]
        ends = sorted({strike.beat for strike in strikes} | set(silences) | {bar.beats})
        for strike in strikes:
            span = bar.spans[strike.span]
            end = next(beat for beat in ends if beat > strike.beat)
            keys = self._voicing.keys(strike, span)
            pitches = tuple(spelt(key, span, bar) for key in keys)
            share = (end - strike.beat) / bar.beats
            yield strike.beat / bar.beats, end / bar.beats, Event(share, pitches)


def _filled(timed: Sequence[tuple[Fraction, Fraction, Event]]) -> Iterator[Event]:
    """The events with rests between them; together one bar."""
    reached = Fraction(0)
    for start, end, event in timed:
        if start > reached:
            yield Event(start - reached)
        yield event
        reached = end
    if reached < 1:
        yield Event(1 - reached)


def slashes(bar: Bar) -> list[Event]:
    """A slash on every beat, rests where nothing is expected."""
    beat = Fraction(4, bar.meter.unit)
    return [
        Event(beat, slash=bar.span_at(number).chord is not None)
        for number in range(bar.meter.beats)
    ]


def spelt(key: int, span: Span, bar: Bar) -> Pitch:
    """The note of a key as the chord spells it, else as the song's key does."""
    name = spelt_class(key % 12, span, bar)
    return Pitch(name, (key - name.alter) // 12 - 1)


def spelt_class(pc: int, span: Span, bar: Bar) -> NoteName:
    """The same for a pitch class."""
    flats = bar.key is not None and bar.key.flats
    return _names(span).get(pc) or parse_note(note_text(pc, flats=flats))


def _names(span: Span) -> dict[int, NoteName]:
    """The chord's tones by their letters: the third of D is F#."""
    chord = span.chord
    if chord is None:
        return {}
    names: dict[int, NoteName] = {}
    for tone in chord.chord:
        name = chord.root.above((tone.degree - 1) % 7 + 1, tone.semitones % 12)
        if name is not None:
            names[name.pc] = name
    names[chord.root.pc] = chord.root
    if chord.bass is not None:
        names[chord.bass.pc] = chord.bass
    return names
