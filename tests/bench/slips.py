"""Which mistakes of chord, bass and rhythm does a student make within the bars?

Every one is a real mistake: a wrong chord has a tone that the chart, its colours and its
bass do not allow, and it sounds; a strike is early or late enough to hear and never so
much that it changes places with another; an added strike stands where there is none.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Span
from evaluator.theory.pitch import note_text
from evaluator.theory.symbol import ChordSymbol, parse_chord
from tests.bench.dice import Dice
from tests.bench.orders import Plan
from tests.playing import (
    Added,
    Early,
    Fault,
    Fill,
    Late,
    Missed,
    Restart,
    Slip,
    WrongBass,
    WrongChord,
)
from tests.playing.strokes import degrees_between, scale_of

AUDIBLE_MS = 120.0
"""An early or late strike is at least this far off: beyond any player's unevenness."""
LARGEST_MS = 200.0
_SHARE_OF_GAP = 0.45
"""How much of the time to the neighbouring strike an early or late one may take."""
_BETWEEN = "between"
"""The time between the strikes: one strike a bar may move into it or be added to it."""
_ROOM = 0.18
"""Seconds about an added strike or a fill that are free of others."""


@dataclass(frozen=True, slots=True)
class BarRates:
    """Mistakes a bar of the take, each as a probability."""

    wrong_chord: float = 0.0
    wrong_quality: float = 0.0
    wrong_bass: float = 0.0
    plain_root: float = 0.0
    """Where the chart wants another bass than the root."""
    missed: float = 0.0
    added: float = 0.0
    early: float = 0.0
    late: float = 0.0
    slip: float = 0.0
    fill: float = 0.0
    """At the last bar of a line."""


@dataclass(frozen=True, slots=True)
class _Moment:
    """A bar of the take in which a mistake may be made."""

    graph: BarGraph
    bar: Bar
    speed: float
    dice: Dice

    @property
    def spb(self) -> float:
        return self.bar.seconds_per_beat / self.speed

    @property
    def beats(self) -> list[float]:
        """Where either hand strikes."""
        return sorted({float(strike.beat) for strike in self.bar.strikes})

    def room(self, beat: float) -> float:
        """Seconds from a place to the nearest strike of another beat, or to the bar line."""
        others = [b for b in (0.0, *self.beats, float(self.bar.beats)) if abs(b - beat) > 1e-6]
        return min(abs(b - beat) for b in others) * self.spb

    def spans(self) -> list[Span]:
        """The spans that have a chord, in any order."""
        return self.dice.shuffled([span for span in self.bar.spans if span.chord is not None])

    def strikes(self) -> list[ExpectedStrike]:
        """The pattern's strikes, in any order."""
        return self.dice.shuffled(self.bar.strikes)


def make_slips(plan: Plan, dice: Dice, rates: BarRates, *, speed: float) -> None:
    """Put mistakes into the bars of the plan, at most one of each kind in a bar."""
    for place, step in enumerate(plan.steps):
        bar = plan.bar(place)
        if any(isinstance(fault, Restart) for fault in step.faults) or not bar.strikes:
            continue
        moment = _Moment(plan.graph, bar, speed, dice)
        taken: set[object] = set()
        for rate, make in _KINDS.items():
            if not dice.chance(getattr(rates, rate)):
                continue
            if make is _fills and not _ends_line(plan, place):
                continue
            for fault, spot in make(moment):
                if not spot & taken:
                    step.faults.append(fault)
                    taken |= spot
                    break


Found = Iterator[tuple[Fault, set[object]]]
"""A mistake that can be made here, and the parts of the bar that it needs for itself."""


def _wrong_chords(moment: _Moment) -> Found:
    """Another chord of the song."""
    others = {span.chord for bar in moment.graph.bars for span in bar.spans if span.chord}
    names = sorted({chord.name for chord in others})
    for span in moment.spans():
        for name in moment.dice.shuffled(names):
            if _sounds_wrong(moment.bar, span, parse_chord(name)):
                yield WrongChord(0, name, float(span.beat)), {("chord", span.beat)}


def _wrong_qualities(moment: _Moment) -> Found:
    """Minor for major, or major for minor."""
    for span in moment.spans():
        assert span.chord is not None
        root = span.chord.root
        minor = (root.pc + 3) % 12 in span.chord.tones
        other = parse_chord(root.text + ("" if minor else "m"))
        if _sounds_wrong(moment.bar, span, other):
            yield WrongChord(0, other.text, float(span.beat)), {("chord", span.beat)}


def _sounds_wrong(bar: Bar, span: Span, other: ChordSymbol) -> bool:
    """Whether the right hand, playing that chord, strikes a tone that is foreign here."""
    assert span.chord is not None
    place = bar.spans.index(span)
    like = degrees_between(span.chord, other)
    struck: set[int] = set()
    for strike in bar.strikes:
        if strike.span == place and strike.hand == "right":
            whole = strike.part == "chord"
            struck |= other.tones if whole else {like.get(t, t) for t in strike.pitch_classes}
    lacking = span.chord.essential - other.tones
    return bool(struck - span.allowed) and bool(lacking)


def _wrong_basses(moment: _Moment) -> Found:
    """A tone of the chord that is not the bass, or a neighbour of the bass in the scale."""
    scale = scale_of(moment.bar.key)
    for span in _bassed(moment):
        assert span.chord is not None
        assert span.bass is not None
        right = {span.bass} | {colour.bass_pc for colour in span.colours}
        tones = set(span.chord.tones) | {(span.bass + step) % 12 for step in (-2, -1, 1, 2)}
        wrong = [t for t in sorted(tones) if t in scale and t not in right | {span.chord.root.pc}]
        for tone in moment.dice.shuffled(wrong)[:1]:
            yield _bass(moment, span, tone)


def _plain_roots(moment: _Moment) -> Found:
    for span in _bassed(moment):
        if span.chord and span.chord.root.pc not in {span.bass, *(c.bass_pc for c in span.colours)}:
            yield _bass(moment, span, span.chord.root.pc)


def _bassed(moment: _Moment) -> Iterator[Span]:
    """Spans that begin with their bass note in the left hand."""
    for span in moment.spans():
        place = moment.bar.spans.index(span)
        for strike in moment.bar.strikes:
            here = (strike.hand, strike.span, strike.beat) == ("left", place, span.beat)
            if here and strike.pitch_classes == {span.bass}:
                yield span


def _bass(moment: _Moment, span: Span, tone: int) -> tuple[Fault, set[object]]:
    key = moment.bar.key
    name = note_text(tone, flats=key.flats if key else False)
    return WrongBass(0, name, float(span.beat)), {("bass", span.beat), (span.beat, "left")}


def _missed(moment: _Moment) -> Found:
    if len(moment.bar.strikes) > 1:
        for strike in moment.strikes():
            spot: set[object] = {(strike.beat, strike.hand)}
            if strike.hand == "right":  # a wrong chord must still be there to be heard
                spot.add(("chord", moment.bar.spans[strike.span].beat))
            yield Missed(0, float(strike.beat), strike.hand), spot


def _moved(moment: _Moment, kind: type[Early] | type[Late]) -> Found:
    """Early strikes, never the first of a bar: what stands before it is another bar's."""
    for strike in moment.strikes():
        beat = float(strike.beat)
        most = min(LARGEST_MS, 1000 * _SHARE_OF_GAP * moment.room(beat))
        if most >= AUDIBLE_MS and (beat > 0 or kind is Late):
            ms = float(round(moment.dice.between(AUDIBLE_MS, most)))
            yield kind(0, beat, strike.hand, ms), {(strike.beat, strike.hand), _BETWEEN}


def _free_places(moment: _Moment) -> list[float]:
    """Beats and off-beats with no strike near, those of the chart's feel."""
    swing = float(moment.graph.swing)
    halves = (0.0,) if moment.bar.meter.unit == 8 else (0.0, swing / (1 + swing))
    places = [beat + half for beat in range(moment.bar.meter.beats) for half in halves]
    # The chart's fractions and this sum differ in the last digit where the feel is swung.
    taken = [any(abs(p - beat) < 1e-6 for beat in moment.beats) for p in places]
    free = [
        p
        for p, is_taken in zip(places, taken, strict=True)
        if p and not is_taken and moment.room(p) >= _ROOM
    ]
    return [p for p in moment.dice.shuffled(free) if moment.bar.span_at(p).chord is not None]


def _added(moment: _Moment) -> Found:
    for beat in _free_places(moment):
        hand = moment.dice.pick(("left", "right", "right"))
        yield Added(0, beat, "left" if hand == "left" else "right"), {_BETWEEN}


def _slips(moment: _Moment) -> Found:
    for strike in moment.strikes():
        span = moment.bar.spans[strike.span]
        if strike.part != "chord" or span.chord is None:
            continue
        chords = (span.chord, *span.colours)
        beside = [{(t + s) % 12 for t in c.essential for s in (-1, 1)} for c in chords]
        if all(keys - span.allowed for keys in beside):
            needs: set[object] = {("chord", span.beat), (strike.beat, "right")}
            yield Slip(0, float(strike.beat)), needs


def _fills(moment: _Moment) -> Found:
    late = [beat for beat in _free_places(moment) if beat >= float(moment.bar.beats) / 2]
    for beat in late:
        yield Fill(0, beat), {_BETWEEN}


_KINDS: dict[str, Callable[[_Moment], Found]] = {
    "wrong_chord": _wrong_chords,
    "wrong_quality": _wrong_qualities,
    "wrong_bass": _wrong_basses,
    "plain_root": _plain_roots,
    "missed": _missed,
    "added": _added,
    "early": lambda moment: _moved(moment, Early),
    "late": lambda moment: _moved(moment, Late),
    "slip": _slips,
    "fill": _fills,
}


def _ends_line(plan: Plan, place: int) -> bool:
    if place + 1 == len(plan.steps):
        return False
    here, then = plan.bar(place), plan.bar(place + 1)
    return (here.section_index, here.line) != (then.section_index, then.line)
