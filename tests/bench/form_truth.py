"""When does a finding say the same as the truth about the form of a take?

- Bars missing or extra: the same number of bars, and bars that could as well have been
  lost or doubled: put back (or taken out), they give bar for bar the same sounds in the
  same order. This is worked out here from the truth, not read from the judgement's run.
- Beside it lies what has the right kind and number one bar away, or in the run of like
  chords that the judgement names: no hit, but counted.
- A restart: within a bar of the truth in time, going on at a bar that sounds like the
  true one. If the silence is as long as the rest of the bar that was broken off (within a
  quarter of a second and half a beat), the bar has been played again in time, and `extra`
  of the bars from where it went on is as right.
- A break: within a bar of the halt in time. A halt shorter than one beat is a hesitation,
  and neither asked for nor held against whoever finds it.

What nobody can hear is neither asked for nor held against whoever finds it:
- bars missing or extra, found a bar or a run beside (as above), where a bar at the seam was
  played with another chord or bass than its own, so that it sounds like its neighbour;
- a new beginning at a bar whose first strike was then missed: it sounds like a halt. Whoever
  finds a break or a restart there is right;
- bars missing, extra or played again in time, where the way that was found goes through bars
  that sound, one for one, like those that were played, and no more mistakes are told of it:
  two lines lost among lines alike are one longer passage lost as well. Nor can a halt before
  bars that come again be told, on such a way, from breaking off and going back to them.
"""

from collections.abc import Sequence

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow.path import Path
from evaluator.judge.verdict import FormFinding
from tests.playing import Missed, TrueForm, Truth, WrongBass, WrongChord

COSTED = ("missing", "extra", "restart", "break")
"""Mistakes of form; what else is found is a choice."""
IN_TIME = 0.25
"""Seconds by which a new beginning may miss the bar line and still be one in time."""


def sound(bar: Bar) -> tuple[object, ...]:
    """What can be heard of a bar: equal for bars that nobody can tell apart."""
    chords = tuple((span.beat, span.chord, span.bass, span.held) for span in bar.spans)
    return (chords, bar.strikes, bar.meter)


class FormTruth:
    """Which findings say the same as the truth about the form of one take?"""

    def __init__(self, graph: BarGraph, truth: Truth) -> None:
        self.graph, self.truth = graph, truth
        self.sounds = {bar.index: sound(bar) for bar in graph.bars}
        self._rank = {index: place for place, index in enumerate(self._by_number())}
        self.order, self._slot = self._without_replays()

    def same(self, true: TrueForm, found: FormFinding) -> bool:
        """Whether a musician would take the finding for what was done."""
        if true.kind in ("missing", "extra"):
            return found.kind == true.kind and self._same_bars(true, found.bars)
        bar = self._bar_seconds(true)
        if true.kind == "break":
            return found.kind == "break" and -bar <= found.at - true.at <= bar + true.halt
        if self.unheard(true) and found.kind == "break":  # a halt is told where it begins
            return -bar - true.halt <= found.at - true.at <= bar
        close = abs(found.at - true.at) <= bar
        if found.kind == "restart":
            return close and bool(self._sounds_of(found.bars[0]) & self._sounds_of(true.bars[0]))
        return found.kind == "extra" and close and self._again_in_time(true, found.bars)

    def near(self, true: TrueForm, found: FormFinding) -> bool:
        """Whether it is at least the same kind and count, within a bar of the true bars."""
        if true.kind not in ("missing", "extra") or found.kind != true.kind:
            return False
        low, high = found.run or (found.bars[0], found.bars[-1])
        in_run = low <= true.bars[0] and true.bars[-1] <= high
        return found.count == true.count and (in_run or abs(found.bars[0] - true.bars[0]) <= 1)

    def unheard(self, true: TrueForm) -> bool:
        """A new beginning whose first strike was missed."""
        if true.kind != "restart":
            return False
        bar = self.truth.bars[self._place(true)]
        first = min((strike.beat for strike in self.graph.bars[bar.index].strikes), default=None)
        missed = {fault.beat for fault in bar.faults if isinstance(fault, Missed)}
        return first is not None and float(first) in missed

    def disguised(self, true: TrueForm) -> bool:
        """Bars lost or doubled next to a bar that was played with other notes than its own."""
        at, count = self._place(true), len(true.bars)
        seam = self.truth.bars[max(at - 1, 0) : at + (count if true.kind == "extra" else 0) + 1]
        return any(isinstance(f, WrongChord | WrongBass) for bar in seam for f in bar.faults)

    def is_hesitation(self, true: TrueForm) -> bool:
        """A halt shorter than a beat."""
        beats = self._bar(true).meter.beats
        return true.kind == "break" and true.halt < self._bar_seconds(true) / beats

    def _same_bars(self, true: TrueForm, numbers: tuple[int, ...]) -> bool:
        """Whether these bars could as well have been lost or doubled."""
        at = self._slot[self._place(true)]
        whole, count = list(self.order), len(true.bars)
        if len(numbers) != count:
            return False
        bars = [self._index(number, at) for number in true.bars]
        if true.kind == "missing":
            whole[at:at] = bars
        else:  # whatever was lost or doubled among the bars that came again
            whole[at:] = [*bars, *self._beyond(bars[-1], at)]
        sounds = [self.sounds[index] for index in whole]
        low = high = at
        while low > 0 and sounds[low - 1] == sounds[low - 1 + count]:
            low -= 1
        while high + count < len(sounds) and sounds[high] == sounds[high + count]:
            high += 1
        windows = (whole[first : first + count] for first in range(low, high + 1))
        return numbers in {tuple(self.graph.bars[i].number for i in w) for w in windows}

    def _beyond(self, last: int, at: int) -> list[int]:
        """The bars played behind a passage that came again, whose last bar is given."""
        rest = self.order[at:]
        ranks = [self._rank[bar] for bar in rest]
        behind = (place for place, rank in enumerate(ranks) if rank > self._rank[last])
        return rest[next(behind, len(rest)) :]

    def as_right(self, path: Path, told: Sequence[FormFinding]) -> bool:
        """Whether the way found sounds like what was played, with no more mistakes."""
        done = sum(true.kind in COSTED for true in self.truth.form)
        sounds = [self.sounds[bar.bar] for bar in path.bars]
        played = [self.sounds[bar.index] for bar in self.truth.bars]
        return sounds == played and len(told) <= done

    def resumed(self, true: TrueForm, found: FormFinding) -> bool:
        """Whether a restart is told where a halt ended."""
        late = found.at - true.at - true.halt
        both = true.kind == "break" and found.kind == "restart"
        return both and abs(late) <= self._bar_seconds(true)

    def is_of_bars(self, true: TrueForm) -> bool:
        """Bars missing or extra, or broken off and played again in time."""
        again = true.kind == "restart" and self._in_time(true)
        return true.kind in ("missing", "extra") or again

    def _again_in_time(self, true: TrueForm, numbers: tuple[int, ...]) -> bool:
        at = self._place(true)
        first, broken = self.truth.bars[at].number, self.truth.bars[at - 1].number
        return self._in_time(true) and numbers == tuple(range(first, broken + 1))

    def _in_time(self, true: TrueForm) -> bool:
        """Whether the silence was as long as the rest of the bar that was broken off."""
        broken = self.truth.bars[self._place(true) - 1]
        bar = self.graph.bars[broken.index]
        beat = bar.seconds_per_beat / self.truth.tempo
        rest = (float(bar.beats) - broken.beats_played) * beat
        return abs(true.halt - rest) <= min(IN_TIME, beat / 2)

    def _place(self, true: TrueForm) -> int:
        """Which bar of the take it is about: the first after the mistake, or none at its end."""
        bars = self.truth.bars
        return next((place for place, bar in enumerate(bars) if bar.start == true.at), len(bars))

    def _by_number(self) -> list[int]:
        return sorted(self.sounds, key=lambda index: (self.graph.bars[index].number, index))

    def _without_replays(self) -> tuple[list[int], list[int]]:
        """The bars as if nothing had been broken off, and the places in them of each bar and of
        the end."""
        anew = {true.at for true in self.truth.form if true.kind == "restart"}
        order: list[int] = []
        slot: list[int] = []
        for bar in self.truth.bars:
            if bar.start in anew:
                back = len(order)
                while back and self._rank[order[back - 1]] > self._rank[bar.index]:
                    back -= 1
                if back and order[back - 1] == bar.index:
                    del order[back - 1 :]
            slot.append(len(order))
            order.append(bar.index)
        return order, [*slot, len(order)]

    def _index(self, number: int, at: int) -> int:
        """The bar of a number, of an `or` line only if the take is in one there."""
        found = [bar for bar in self.graph.bars if bar.number == number]
        within = self.graph.bars[self.order[min(at, len(self.order) - 1)]].alternative
        return min(found, key=lambda bar: (bar.alternative != within, bar.alternative)).index

    def _sounds_of(self, number: int) -> set[tuple[object, ...]]:
        return {self.sounds[bar.index] for bar in self.graph.bars if bar.number == number}

    def _bar(self, true: TrueForm) -> Bar:
        return next(bar for bar in self.graph.bars if bar.number == true.bars[0])

    def _bar_seconds(self, true: TrueForm) -> float:
        return self._bar(true).seconds / self.truth.tempo
