"""What speaks for the chord in a span, and what is foreign to it?

A strike of several tones speaks for the chord, and so does a single one that answers the
pattern. What the left hand plays lowest is the bass and judged as such; a brushed
neighbouring key is a slip; a fill, a tune above the chords and a bass that walks below right
ones are the player's own.
"""

from dataclasses import dataclass, replace

from evaluator.chart.graph import Span
from evaluator.judge.hands import HandStrike
from evaluator.judge.heard import Event, HeardBar
from evaluator.judge.names import note_name
from evaluator.judge.slips import is_brushed


@dataclass(frozen=True, slots=True)
class Sounds:
    """The strikes of one span, sorted out."""

    chords: tuple[Event, ...]
    """Strikes that may be held against the chord."""
    foreign: tuple[frozenset[int], ...]
    """For each of them its foreign pitch classes, slips not counted."""
    slips: tuple[str, ...]
    struck: frozenset[int]
    """Every pitch class struck by either hand."""
    bass: int | None
    """Pitch class of the left hand's first lowest note."""


def sorted_out(heard: HeardBar, index: int) -> Sounds:
    """What of one span, by its index, speaks for or against the chord: slips and ornaments
    aside."""
    span, bar = heard.bar.spans[index], heard.bar
    allowed = span.allowed
    chords, foreign, slips = [], [], []
    struck: set[int] = set()
    bass: int | None = None
    for event in heard.events[index]:
        strike = event.strike
        classes = {pitch % 12 for pitch in strike.pitches}
        struck |= classes
        if bass is None and strike.hand == "left":
            bass = strike.pitches[0] % 12
        outside = set()
        astray = () if classes <= allowed else _beside_the_bass(event, span)
        for place, pitch in astray:
            if pitch % 12 in allowed or _is_of_a_tune(heard, strike, place):
                continue
            if is_brushed(strike, place, span):
                slips.append(note_name(pitch % 12, span, bar))
            else:
                outside.add(pitch % 12)
        if _is_chord(heard, event, span):
            chords.append(event)
            foreign.append(frozenset(outside))
    found = Sounds(tuple(chords), tuple(foreign), tuple(slips), frozenset(struck), bass)
    return _without_passing(found)


def _without_passing(sounds: Sounds) -> Sounds:
    """A left hand that walks on single notes does not undo the right hand's chords."""
    pairs = list(zip(sounds.chords, sounds.foreign, strict=True))
    above = [
        foreign
        for event, foreign in pairs
        if event.strike.hand == "right" and len(event.strike.pitches) > 1
    ]
    if not above or any(above):
        return sounds
    kept = [
        (event, foreign)
        for event, foreign in pairs
        if event.strike.hand == "right" or len(event.strike.pitches) > 1 or not foreign
    ]
    chords, foreign = zip(*kept, strict=True)
    return replace(sounds, chords=chords, foreign=foreign)


def one_by_one(heard: HeardBar, index: int, sounds: Sounds) -> Sounds:
    """Every single note of a broken chord, but for the left hand's bass."""
    span = heard.bar.spans[index]
    events = [
        event
        for event in heard.events[index]
        if event.strike.hand == "right" or event.strike.pitches[0] % 12 != sounds.bass
    ]
    foreign = [frozenset(p % 12 for p in e.strike.pitches) - span.allowed for e in events]
    return replace(sounds, chords=tuple(events), foreign=tuple(foreign))


def _is_of_a_tune(heard: HeardBar, strike: HandStrike, place: int) -> bool:
    """Whether a note is the tune's, struck together with the chord below it."""
    return heard.laid.tune and strike.hand == "right" and place == len(strike.pitches) - 1 > 0


def _beside_the_bass(event: Event, span: Span) -> list[tuple[int, int]]:
    """Places and pitches of a strike that the chord answers for."""
    notes = list(enumerate(event.strike.pitches))
    if event.strike.hand == "right":
        return notes
    if event.due is not None and event.due.part == "tone" and not _is_bass(event, span):
        return notes
    lowest = event.strike.pitches[0] % 12
    return [(place, pitch) for place, pitch in notes if pitch % 12 != lowest]


def _is_chord(heard: HeardBar, event: Event, span: Span) -> bool:
    """Whether a strike speaks for the chord; a lone bass, a fill or a tune does not."""
    several = len({pitch % 12 for pitch in event.strike.pitches}) > 1
    if event.strike.hand == "left":
        answers = event.due is not None and event.due.part == "tone" and not _is_bass(event, span)
        return several or (answers and not heard.laid.manners)
    if heard.laid.tune or heard.plays("right") != "pattern":
        return several
    return event.due is not None or len(event.strike.pitches) > 1


def _is_bass(event: Event, span: Span) -> bool:
    return event.due is not None and event.due.pitch_classes == {span.bass}
