"""How does the chart sound when it is played as written, to play along to?

Bar after bar as a sound file: each strike of the pattern on its place, with the swing of
the feel, on the keys that `voicing` finds; without a pattern the bass with each chord and
the chord on every beat. A bar of count-in goes before it on the drum channel, which no
grading hears, and the click goes on if it is asked for. Tempo, meter, sections and chords
stand in a track of their own, so that any player or score program shows where one is.

Each hand has a track. Keys are held until the hand strikes again or the chord ends; notes
that are written out as long as they are written, staccato ones for half of it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand, Span
from evaluator.judge.names import chord_name
from evaluator.practise import voicing
from evaluator.practise.sound_file import (
    MARKER,
    TICKS,
    TRACK_NAME,
    Event,
    note,
    sound_file,
    tempo,
    text,
    time_signature,
)

HANDS: Final[tuple[Hand, ...]] = ("right", "left")
LOUDNESS: Final[dict[Hand, int]] = {"left": 66, "right": 62}
DRUMS: Final = 9
"""The drum channel of General MIDI, counted from 0."""
CLICKS: Final = ((76, 100), (77, 72))
"""Key and loudness of the first beat and of the others: high and low wood block."""
COUNT_IN_BEATS: Final = 3
"""A count-in has at least so many beats, in bars of the first bar's meter."""
LIFT: Final = 24
"""Ticks by which a key is let go before its time is over, so that it can be struck again."""


@dataclass(frozen=True, slots=True)
class Playing:
    """How a guide is to be played."""

    bpm: float | None = None
    """Beats a minute of the first bar; others keep their proportion. None: as the chart has it."""
    hands: tuple[Hand, ...] = HANDS
    times: int = 1
    click: bool = False


@dataclass(frozen=True, slots=True)
class _Placed:
    """A bar at its place in the file."""

    bar: Bar
    tick: int
    opens: bool
    """Its section, or the passage again, begins here."""

    def at(self, beat: Fraction) -> int:
        return self.tick + round(TICKS * 4 * beat / self.bar.meter.unit)


def guide(graph: BarGraph, bars: Sequence[int], playing: Playing | None = None) -> bytes:
    """A Standard MIDI File of these bars of the graph, in this order."""
    playing = playing or Playing()
    placed = _place(graph, bars, playing.times)
    first = placed[0].bar
    slower = 1.0 if playing.bpm is None else 60.0 / first.seconds_per_beat / playing.bpm
    tracks = [[*_marks(graph.title, placed, slower)]]
    hands = {hand: [text(0, TRACK_NAME, f"{hand} hand")] for hand in HANDS}
    for hand, event in _notes(placed):
        hands[hand].append(event)
    tracks += [hands[hand] for hand in HANDS if hand in playing.hands]
    clicked = placed if playing.click else []
    return sound_file([*tracks, [text(0, TRACK_NAME, "click"), *_clicks(first, clicked)]])


def _place(graph: BarGraph, bars: Sequence[int], times: int) -> list[_Placed]:
    first = graph.bars[bars[0]]
    tick = _count_in_bars(first) * _length(first)
    placed: list[_Placed] = []
    for _ in range(times):
        section = None
        for index in bars:
            bar = graph.bars[index]
            placed.append(_Placed(bar, tick, opens=bar.section_index != section))
            section = bar.section_index
            tick += _length(bar)
    return placed


def _length(bar: Bar) -> int:
    return TICKS * 4 * bar.meter.beats // bar.meter.unit


def _count_in_bars(bar: Bar) -> int:
    return -(-COUNT_IN_BEATS // bar.meter.beats)


def _marks(title: str, placed: Sequence[_Placed], slower: float) -> Iterator[Event]:
    """Name, tempos, meters, sections and chords."""
    yield text(0, TRACK_NAME, title)
    speed = meter = None
    for place in placed:
        bar, tick = place.bar, place.tick if speed is not None else 0
        quarter = slower * bar.seconds_per_beat * bar.meter.unit / 4
        if quarter != speed:
            yield tempo(tick, quarter)
            speed = quarter
        if bar.meter != meter:
            yield time_signature(tick, bar.meter.beats, bar.meter.unit)
            meter = bar.meter
        if place.opens:
            yield text(place.tick, MARKER, f"[{bar.section}]")
        for span in bar.spans:
            yield text(place.at(span.beat), MARKER, chord_name(span, bar), rank=1)


def _notes(placed: Sequence[_Placed]) -> Iterator[tuple[Hand, Event]]:
    """Every key of both hands."""
    right: tuple[int, ...] = ()
    for place in placed:
        bar = place.bar
        strikes = bar.strikes or tuple(_plain(bar))
        broken = any(s.hand == "left" and s.part == "tone" for s in strikes)
        shapes: list[tuple[int, ...]] = []
        for span in bar.spans:
            if span.chord is not None:
                right = voicing.next_chord(voicing.tones_to_play(span.chord), right)
            shapes.append(right)
        last: int | None = None
        for number, strike in enumerate(strikes):
            until = _until(strikes[number + 1 :], strike, bar)
            left = voicing.bass_key(_bass(strike, bar), broken=broken)
            keys = strike.pitches or _keys(strike, shapes[strike.span], left, last)
            if strike.hand == "left" and keys:
                last = keys[-1]
            start, end = place.at(strike.beat), place.at(until)
            lift = min(LIFT, (end - start) // 4)
            for key in keys:
                for event in note(
                    start, end - lift, key=key, velocity=LOUDNESS[strike.hand], channel=0
                ):
                    yield strike.hand, event


def _plain(bar: Bar) -> Iterator[ExpectedStrike]:
    """Without a pattern: the bass with each chord, the chord on every beat."""
    for number, span in enumerate(bar.spans):
        if span.chord is None or span.bass is None:
            continue
        yield ExpectedStrike(span.beat, "left", frozenset({span.bass}), "bass", number)
        beat = span.beat
        while beat < span.beat + span.beats:
            yield ExpectedStrike(beat, "right", span.chord.tones, "chord", number)
            beat += span.beats if span.held else 1


def _until(later: Sequence[ExpectedStrike], strike: ExpectedStrike, bar: Bar) -> Fraction:
    """When the hand strikes again, or the chord ends; of notes written out, when they end."""
    if strike.beats:
        return min(strike.beat + strike.beats, bar.beats)
    span = bar.spans[strike.span]
    end = span.beat + span.beats
    following = [one.beat for one in later if one.hand == strike.hand and one.beat > strike.beat]
    ends = [end] if end > strike.beat else [bar.beats]
    return min([*following, *ends])


def _bass(strike: ExpectedStrike, bar: Bar) -> int:
    """The bass under a strike: the chart's, or the note itself where it has none."""
    span: Span = bar.spans[strike.span]
    return min(strike.pitch_classes) if span.bass is None else span.bass


def _keys(
    strike: ExpectedStrike, shape: tuple[int, ...], bass: int, last: int | None
) -> tuple[int, ...]:
    if strike.part == "bass":
        return (bass,)
    if strike.hand == "left":
        return tuple(voicing.broken_key(tone, bass, last) for tone in sorted(strike.pitch_classes))
    if strike.part == "chord":
        return shape
    return tuple(voicing.tone_key(tone, shape) for tone in sorted(strike.pitch_classes))


def _clicks(first: Bar, placed: Sequence[_Placed]) -> Iterator[Event]:
    """The count-in, and the beats of the bars that are to have a click."""
    counts = [
        _Placed(first, at * _length(first), opens=False) for at in range(_count_in_bars(first))
    ]
    for place in (*counts, *placed):
        for beat in range(place.bar.meter.beats):
            key, loud = CLICKS[min(beat, 1)]
            start = place.at(Fraction(beat))
            yield from note(start, start + TICKS // 8, key=key, velocity=loud, channel=DRUMS)
