"""How does the chart sound when it is played as written, to play along to?

The strokes of both hands (`strokes`) as a MIDI file. A bar of count-in goes before it on the
drum channel, which no grading hears, and the click goes on if it is asked for. Tempo, meter,
sections and chords stand in a track of their own, so that any player or score program shows
where one is. Each hand has a track.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from evaluator.chart.graph import HANDS, Bar, BarGraph, Hand
from evaluator.judge.names import chord_name
from evaluator.practise.strokes import LOUDNESS, strokes
from evaluator.take.events import DRUMS
from evaluator.take.midi_writer import (
    TICKS,
    Event,
    marker,
    midi_file,
    note,
    tempo,
    time_signature,
    track_name,
)

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
    hands: tuple[Hand, ...] = HANDS[::-1]
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
    hands = {hand: [track_name(f"{hand} hand")] for hand in HANDS[::-1]}
    for hand, event in _notes(placed):
        hands[hand].append(event)
    tracks += [hands[hand] for hand in HANDS[::-1] if hand in playing.hands]
    clicked = placed if playing.click else []
    return midi_file([*tracks, [track_name("click"), *_clicks(first, clicked)]])


def _place(graph: BarGraph, bars: Sequence[int], times: int) -> list[_Placed]:
    first = graph.bars[bars[0]]
    tick = count_in_bars(first) * _length(first)
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


def count_in_bars(bar: Bar) -> int:
    """How many bars are counted in before this one."""
    return -(-COUNT_IN_BEATS // bar.meter.beats)


def _marks(title: str, placed: Sequence[_Placed], slower: float) -> Iterator[Event]:
    """Name, tempos, meters, sections and chords."""
    yield track_name(title)
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
            yield marker(place.tick, f"[{bar.section}]")
        for span in bar.spans:
            yield marker(place.at(span.beat), chord_name(span, bar), rank=1)


def _notes(placed: Sequence[_Placed]) -> Iterator[tuple[Hand, Event]]:
    """Every key of both hands."""
    for stroke in strokes([place.bar for place in placed]):
        place = placed[stroke.place]
        start, end = place.at(stroke.beat), place.at(stroke.until)
        lift = min(LIFT, (end - start) // 4)
        for key in stroke.keys:
            loud = LOUDNESS[stroke.hand]
            for event in note(start, end - lift, key=key, velocity=loud, channel=0):
                yield stroke.hand, event


def _clicks(first: Bar, placed: Sequence[_Placed]) -> Iterator[Event]:
    """The count-in, and the beats of the bars that are to have a click."""
    counts = [
        _Placed(first, at * _length(first), opens=False) for at in range(count_in_bars(first))
    ]
    for place in (*counts, *placed):
        for beat in range(place.bar.meter.beats):
            key, loud = CLICKS[min(beat, 1)]
            start = place.at(Fraction(beat))
            yield from note(start, start + TICKS // 8, key=key, velocity=loud, channel=DRUMS)
