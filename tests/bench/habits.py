"""How does a player strike whose hands have habits of their own?

The player of `tests.playing` with what people do beside the pattern: chords rolled, one
hand behind or ahead of the other, a hand that searches for its chord, a tempo that bends,
left-hand shapes, a last chord struck once and held.

Units: milliseconds for what lies between strikes, speeds as parts of the take's own tempo.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from evaluator.chart.graph import Bar, ExpectedStrike, Hand
from tests.bench.dice import Dice
from tests.playing import Note, PedalMove, Performance
from tests.playing.mistakes import Fault
from tests.playing.player import Player
from tests.playing.strokes import Sound, Stroke
from tests.playing.timeline import Timeline

Shape = Literal["bass", "octave", "fifth", "tenth", "chord"]
"""What the left hand has on its bass note: nothing, or the octave, fifth or tenth above it,
or the whole chord."""
Bend = Literal["none", "section", "slowing", "ritard", "breathing"]

_FIFTH, _THIRD = (7, 6, 8), (4, 3, 5)
"""Semitones above the bass, the likeliest first."""
_ROOM = 0.6
"""Part of the time to the hand's next strike within which a roll or a search is over."""
_HOME = 0.12
"""Seconds within which the strikes of the last chord lie."""


@dataclass(frozen=True, slots=True)
class Habits:
    """What a player does throughout; every default is nothing."""

    left: Shape = "bass"
    rolled: tuple[Hand, ...] = ()
    """Hands whose chords are rolled: with both, from the left hand through the right."""
    roll_ms: float = 0.0
    downward: bool = False
    behind_ms: Mapping[Hand, float] = field(default_factory=dict)
    """How much later than its place a hand strikes throughout; less than 0 is early."""
    searching: tuple[Hand, ...] = ()
    """Hands that come late at each change of chord,"""
    search_ms: float = 0.0
    """by up to so much."""
    bend: Bend = "none"
    bent_to: float = 1.0
    slow: str = ""
    """The section that is slower; any one if empty."""
    last_held: bool = False
    ends_again: int = 0
    """How often the last chord comes once more behind the last bar."""
    octaves_off: Mapping[Hand, int] = field(default_factory=dict)
    """How many octaves higher than usual a hand plays."""
    pedal_down: bool = False
    """Once and for all."""
    ahead: frozenset[int] = frozenset()
    """Bars whose last off-beat has the next bar's chord already."""


class Accompanist(Player):
    """Plays a graph whose strikes are what is to be played; call `with_habits` first."""

    def with_habits(self, habits: Habits) -> "Accompanist":
        """The same player, who has these habits."""
        self.habits = habits
        self.place = 0
        self.before: dict[Hand, object] = {}
        self.begun: dict[int, float] = {}
        return self

    def take(self) -> Performance:
        performance = _ended_again(self._as_heard(super().take()), self.habits.ends_again)
        pedal = (PedalMove(0.1, 127),) if self.habits.pedal_down else performance.pedal
        off = self.habits.octaves_off
        notes = (replace(n, pitch=n.pitch + 12 * off.get(n.hand, 0)) for n in performance.notes)
        return replace(performance, notes=tuple(notes), pedal=pedal)

    def _as_heard(self, performance: Performance) -> Performance:
        """Bars begin with the first strike of a hand that came late to their bar lines."""
        truth, heard = performance.truth, dict[float, float]()
        for place, bar in enumerate(truth.bars, 1):
            heard[bar.start] = max(bar.start, self.begun.get(place, bar.start))
        bars = tuple(replace(bar, start=heard[bar.start]) for bar in truth.bars)
        form = tuple(replace(true, at=heard.get(true.at, true.at)) for true in truth.form)
        return replace(performance, truth=replace(truth, bars=bars, form=form))

    def _speeds(self) -> Iterator[float]:
        bars = [self.graph.bars[index] for index in self.order]
        curve = bends(bars, self.habits, Dice(int(self.rng.integers(2**31))))
        for speed, bent in zip(super()._speeds(), curve, strict=True):
            yield speed * bent

    def _strike_bar(self, bar: Bar, timeline: Timeline, faults: list[Fault]) -> None:
        self.place += 1
        if self.habits.last_held and self.place == len(self.order):
            bar = struck_once(bar)
        self.bar = bar
        super()._strike_bar(bar, timeline, faults)

    def _place(self, strokes: list[Stroke], timeline: Timeline) -> None:
        super()._place(strokes, timeline)
        for stroke in strokes:
            stroke.time += self.habits.behind_ms.get(stroke.hand, 0.0) / 1000
        for hand in ("left", "right"):
            self._search([s for s in strokes if s.hand == hand], hand, timeline)
        if self.habits.searching:
            first = [stroke.time for stroke in strokes if stroke.beat == 0]
            self.begun[self.place] = min(first, default=timeline.at(0.0))
        strokes.sort(key=lambda stroke: (stroke.time, stroke.hand))

    def _search(self, strokes: list[Stroke], hand: Hand, timeline: Timeline) -> None:
        """The first strike on each new chord is late, never as late as the next one."""
        if hand not in self.habits.searching:
            return
        starts = sorted({stroke.time for stroke in strokes} | {timeline.next_start})
        for stroke in strokes:
            span = self.bar.spans[stroke.span]
            chord = (span.chord, span.bass)
            if chord == self.before.get(hand):
                continue
            self.before[hand] = chord
            then = next(at for at in starts if at > stroke.time + 1e-6)
            late = self.rng.uniform(0.0, self.habits.search_ms / 1000)
            stroke.time += min(late, _ROOM * (then - stroke.time))

    def _let_go(self, strokes: list[Stroke], position: int, timeline: Timeline) -> float:
        until = super()._let_go(strokes, position, timeline)
        if self.bar.index in self.habits.ahead:
            until = min(until, timeline.end - timeline.spb / 2)
        return max(until, strokes[position].time + 0.05)

    def _keys(self, stroke: Stroke, sound: Sound, strokes: list[Stroke]) -> tuple[int, ...]:
        keys = super()._keys(stroke, sound, strokes)
        if stroke.part == "chord" and stroke.hand == "left":
            return tuple(key - 12 for key in keys)
        if stroke.part != "bass" or stroke.keys or not keys:
            return keys
        return shaped(keys, self.habits.left, sound)

    def _press(self, keys: tuple[int, ...], stroke: Stroke, until: float) -> None:
        habits = self.habits
        both = len(habits.rolled) == 2
        if stroke.hand not in habits.rolled or (len(keys) < 2 and not both):
            super()._press(keys, stroke, until)
            return
        # One after the other through both hands: the right hand waits for the left one's.
        waits = 1 if both and stroke.hand == "right" and not habits.downward else 0
        waits = len(keys) if both and stroke.hand == "left" and habits.downward else waits
        room = _ROOM * (until - stroke.time)
        step = min(habits.roll_ms / 1000, room / (len(keys) + waits))
        order = sorted(keys, reverse=habits.downward)
        for place, key in enumerate(order, waits):
            super()._press((key,), replace(stroke, time=stroke.time + step * place), until)


def shaped(keys: tuple[int, ...], shape: Shape, sound: Sound) -> tuple[int, ...]:
    """A bass note with what the left hand has on it; no tone that the chord lacks."""
    low = keys[0]
    tones = {(tone - low) % 12 for tone in sound.tones}
    if shape == "octave":
        return tuple(sorted({low, low + 12}))
    if shape == "fifth":
        return (low, *[low + step for step in _FIFTH if step in tones][:1])
    if shape == "tenth":
        return (low, *[low + 12 + step for step in _THIRD if step in tones][:1])
    if shape == "chord":
        return (low, *sorted(low + step for step in tones if step))
    return keys


def struck_once(bar: Bar) -> Bar:
    """A bar whose first strike of each hand on each chord is the only one."""
    kept: list[ExpectedStrike] = []
    seen: set[tuple[str, int]] = set()
    for strike in bar.strikes:
        where = (strike.hand, strike.span)
        if where not in seen or any(s.beat == strike.beat and s.hand == strike.hand for s in kept):
            kept.append(strike)
        seen.add(where)
    return replace(bar, strikes=tuple(kept))


def bends(bars: list[Bar], habits: Habits, dice: Dice) -> list[float]:
    """The speed of each bar against the take's own."""
    to, count = habits.bent_to, len(bars)
    if habits.bend == "section":
        named = [bar for bar in bars if habits.slow in ("", bar.section)]
        slow = dice.pick(sorted({bar.section_index for bar in named}))
        return [to if bar.section_index == slow else 1.0 for bar in bars]
    if habits.bend == "slowing":
        return [1.0 + (to - 1.0) * place / max(count - 1, 1) for place in range(count)]
    if habits.bend == "ritard":
        return [1.0] * max(count - 4, 0) + [to ** (k / 4) for k in range(1, 5)][-count:]
    if habits.bend == "breathing":  # two times in eight bars, from anywhere
        begin = dice.between(0.0, 8.0)
        return [1 + (to - 1) * float(np.sin((begin + k) * np.pi / 4)) for k in range(count)]
    return [1.0] * count


def _ended_again(performance: Performance, times: int) -> Performance:
    """The song's last chord some more times, a beat apart, the last one held."""
    bar = performance.truth.bars[-1]
    inside = [note for note in performance.notes if note.onset > bar.start - _HOME]
    if not times or not inside:
        return performance
    last = max(note.onset for note in inside)
    chord = [note for note in inside if note.onset > last - _HOME]
    gap = max(0.4, (bar.end - bar.start) / 4)
    notes: list[Note] = [
        replace(n, offset=min(n.offset, bar.end - 0.02)) for n in performance.notes
    ]
    for turn in range(times):
        at = bar.end + turn * gap
        held = 2.5 if turn == times - 1 else 0.8 * gap
        notes += [replace(n, onset=n.onset - last + at, offset=at + held) for n in chord]
    return replace(performance, notes=tuple(notes))
