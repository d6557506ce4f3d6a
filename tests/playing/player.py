"""Plays one take: both hands, bar after bar, with their memory and their mistakes.

How large human unevenness is, and that a chord's notes part by 10 to 30 ms: Palmer
(1996), Music Perception 14(1); Goebl (2001), JASA 110. The tempo wanders slowly
beside the unevenness of single strikes: Sogorski, Geisel and Priesemann (2018).
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from evaluator.chart.graph import Bar, BarGraph, Hand
from tests.playing.mistakes import BarFault, Fault, Slip, TrueBar, TrueForm, Truth
from tests.playing.performance import Manner, Note, PedalMove, Performance
from tests.playing.strokes import PitchClasses, Sound, Stroke, planned, sound
from tests.playing.timeline import Timeline, form_truth
from tests.playing.voicing import LeftHand, RightHand

_LARGEST_DRIFT = 0.08


class Player:
    """One take of `order`, indices into `graph.bars`; `take` may be called once."""

    def __init__(
        self,
        graph: BarGraph,
        order: tuple[int, ...],
        faults: tuple[Fault, ...],
        manner: Manner,
        seed: int,
    ) -> None:
        self.graph = graph
        self.order = order
        self.manner = manner
        self.rng = np.random.default_rng(seed)
        self.faults = _by_bar(faults, len(order))
        self.right, self.left = RightHand(), LeftHand()
        self.notes: list[Note] = []
        self.pedal: list[PedalMove] = []

    def take(self) -> Performance:
        """Play every bar and write down what was played."""
        bars: list[TrueBar] = []
        form: list[TrueForm] = []
        clock = self.manner.start
        for place, speed in enumerate(self._speeds()):
            bar = self.graph.bars[self.order[place]]
            faults = self.faults.get(place + 1, [])
            timeline = Timeline(clock, bar, speed, self._swing(), faults)
            self._strike_bar(bar, timeline, faults)
            bars.append(_true_bar(place + 1, bar, timeline, faults))
            form.extend(form_truth(self.graph, self.order[place:], timeline, faults))
            clock = timeline.next_start
        truth = Truth(
            bars=tuple(bars),
            form=tuple(form),
            tempo=self.manner.tempo,
            transposed=0,
            complete=bool(self.order) and self.order[-1] in self.graph.finals,
        )
        return Performance(_one_finger_a_key(self.notes), tuple(self.pedal), truth)

    def _speeds(self) -> Iterator[float]:
        """Speed of each bar: a smooth bounded random walk about the chosen tempo."""
        step = self.manner.wander_pct / 100
        drift = pull = 0.0
        for _ in self.order:
            yield self.manner.tempo * (1 + drift)
            pull = 0.5 * pull + 0.5 * self.rng.uniform(-step, step)
            drift = float(np.clip(0.95 * drift + pull, -_LARGEST_DRIFT, _LARGEST_DRIFT))

    def _swing(self) -> tuple[float, float]:
        """Place of the off-beat within the beat: in the chart, and as it is played."""
        written = float(self.graph.swing)
        played = written if self.manner.swing is None else self.manner.swing
        return written / (1 + written), played / (1 + played)

    def _strike_bar(self, bar: Bar, timeline: Timeline, faults: list[Fault]) -> None:
        strokes = [s for s in planned(bar, faults) if s.beat < timeline.broken_off - 1e-9]
        self._place(strokes, timeline)
        self.left.new_bar()
        sounds = [self._sound(bar, index, faults) for index in range(len(bar.spans))]
        slips = {fault.beat for fault in faults if isinstance(fault, Slip)}
        for position, stroke in enumerate(strokes):
            keys = self._keys(stroke, sounds[stroke.span], strokes)
            self._press(keys, stroke, self._let_go(strokes, position, timeline))
            if stroke.hand == "right" and stroke.beat in slips:
                self._brush(keys, stroke, bar.spans[stroke.span].allowed)
                slips.remove(stroke.beat)
        if slips:
            raise ValueError(f"no right-hand strike to slip at in bar {bar.number}: {slips}")
        self._move_pedal(bar, timeline)

    def _sound(self, bar: Bar, index: int, faults: list[Fault]) -> Sound:
        """Chord and bass of a span as this player takes them this time."""
        span, chance = bar.spans[index], self.rng.random(3)
        coloured = bool(span.colours) and chance[0] < self.manner.coloured
        colour = int(chance[1] * len(span.colours)) if coloured else None
        return sound(span, faults, colour=colour, thin=bool(chance[2] < self.manner.thinned))

    def _place(self, strokes: list[Stroke], timeline: Timeline) -> None:
        """Give every stroke its time; jitter never lets two strikes change places."""
        beats = sorted({stroke.beat for stroke in strokes})
        times = [timeline.at(beat) for beat in beats] + [timeline.next_start]
        gap = min(np.diff(times), default=0.0)
        sd = self.manner.jitter_ms / 1000
        together = {beat: self.rng.normal(0.0, 0.8 * sd) for beat in beats}
        for stroke in strokes:
            alone = self.rng.normal(0.0, 0.6 * sd)
            lateness = float(np.clip(together[stroke.beat] + alone, -0.3 * gap, 0.3 * gap))
            if stroke.shift_ms is not None:
                lateness = stroke.shift_ms / 1000
            stroke.time = timeline.at(stroke.beat) + lateness
        strokes.sort(key=lambda stroke: (stroke.time, stroke.hand))

    def _let_go(self, strokes: list[Stroke], position: int, timeline: Timeline) -> float:
        """When a stroke's keys are released: before the hand's next strike or the bar line."""
        stroke = strokes[position]
        following = [s.time for s in strokes[position + 1 :] if s.hand == stroke.hand]
        limit = following[0] if following else timeline.next_start
        if stroke.part == "fill":
            limit = min(limit, stroke.time + 0.25)
        return stroke.time + max(0.05, self.manner.length * (limit - stroke.time))

    def _keys(self, stroke: Stroke, sound: Sound, strokes: list[Stroke]) -> tuple[int, ...]:
        """The keys of one stroke, low to high."""
        if stroke.keys:
            return stroke.keys
        if stroke.part == "fill":
            return tuple(72 + tone for tone in stroke.pitch_classes)
        if stroke.part == "chord":
            return self._chord(sound)
        if stroke.part == "bass":
            if sound.bass is None:
                return ()
            broken = any(s.hand == "left" and s.part == "tone" for s in strokes)
            key = self.left.bass(sound.bass, broken=broken)
            return (key - 12, key) if self.rng.random() < self.manner.octaves else (key,)
        return tuple(self._tone(stroke.hand, tone, sound) for tone in stroke.pitch_classes)

    def _chord(self, sound: Sound) -> tuple[int, ...]:
        leap = self.rng.random() < self.manner.leaps
        keys = self.right.chord(sound.tones, self.rng if leap else None)
        doubled = self.rng.random() < self.manner.doubled
        return (*keys, keys[0] + 12) if doubled else keys

    def _tone(self, hand: Hand, tone: int, sound: Sound) -> int:
        """One tone of a broken chord; on the wrong chord its like, on the wrong bass that."""
        if hand == "left":
            like = sound.bass if tone == sound.written_bass else sound.degrees.get(tone, tone)
            assert like is not None  # a span without a bass has no strikes
            return self.left.tone(like, like if sound.bass is None else sound.bass)
        if {key % 12 for key in self.right.keys} != sound.tones:
            self.right.chord(sound.tones)
        return self.right.tone(sound.degrees.get(tone, tone))

    def _press(self, keys: tuple[int, ...], stroke: Stroke, until: float) -> None:
        manner, length = self.manner, until - stroke.time
        rolled = stroke.part == "chord" and self.rng.random() < manner.rolled
        step = min(self.rng.uniform(0.02, 0.045), 0.3 * length / max(1, len(keys)))
        loud = manner.left_velocity if stroke.hand == "left" else manner.right_velocity
        sd = min(manner.spread_ms / 1000, 0.1 * length)
        for place, key in enumerate(keys):
            spread = float(np.clip(self.rng.normal(0.0, sd), -2 * sd, 2 * sd))
            # A lone note is the strike itself: only a chord has a spread about it.
            later = step * place if rolled else spread if len(keys) > 1 else 0.0
            onset = max(0.0, stroke.time + later)
            velocity = int(np.clip(round(self.rng.normal(loud, manner.uneven)), 12, 120))
            self.notes.append(Note(onset, max(until, onset + 0.04), key, velocity, stroke.hand))

    def _brush(self, keys: tuple[int, ...], stroke: Stroke, allowed: PitchClasses) -> None:
        """A neighbour of a struck key: short, soft, and foreign to the chord."""
        beside = [key + step for key in keys for step in (-1, 1)]
        foreign = [key for key in beside if key % 12 not in allowed]
        if not foreign:
            raise ValueError("no key beside the chord is foreign to it")
        key = foreign[int(self.rng.integers(len(foreign)))]
        onset = max(0.0, stroke.time + self.rng.uniform(-0.012, 0.012))
        velocity = int(self.rng.integers(14, 28))
        self.notes.append(Note(onset, onset + self.rng.uniform(0.04, 0.08), key, velocity, "right"))

    def _move_pedal(self, bar: Bar, timeline: Timeline) -> None:
        """Up with the new chord and down just after it, as pedalling is taught."""
        changes = [] if self.manner.pedal == "none" else [s.beat for s in bar.spans if s.chord]
        for beat in changes[:1] if self.manner.pedal == "kept" else changes:
            if beat < timeline.broken_off:
                at = timeline.at(float(beat))
                self.pedal += [PedalMove(at + 0.01, 0), PedalMove(at + 0.10, 127)]


def _by_bar(faults: tuple[Fault, ...], count: int) -> dict[int, list[Fault]]:
    placed: dict[int, list[Fault]] = {}
    for fault in faults:
        if not 1 <= fault.bar <= count:
            raise ValueError(f"the take has {count} bars: {fault}")
        placed.setdefault(fault.bar, []).append(fault)
    return placed


def _true_bar(played: int, bar: Bar, timeline: Timeline, faults: list[Fault]) -> TrueBar:
    return TrueBar(
        played=played,
        index=bar.index,
        number=bar.number,
        start=timeline.at(0.0),
        end=timeline.end,
        beats_played=timeline.broken_off,
        faults=tuple(fault for fault in faults if isinstance(fault, BarFault)),
    )


def _one_finger_a_key(notes: list[Note]) -> tuple[Note, ...]:
    """A key that is struck again was let go before; struck twice at once it sounds once."""
    kept: list[Note] = []
    sounding: dict[int, int] = {}
    for note in sorted(notes, key=lambda n: (n.onset, n.pitch)):
        before = sounding.get(note.pitch)
        if before is not None and kept[before].offset > note.onset - 0.01:
            if note.onset - kept[before].onset < 0.04:
                continue
            kept[before] = replace(kept[before], offset=note.onset - 0.01)
        sounding[note.pitch] = len(kept)
        kept.append(note)
    return tuple(kept)
