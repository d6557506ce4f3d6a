"""Where in the passage is the student, as it is played round and round without a stop?

A stretch begins with the first strike after a count-in, or after a pause, and ends with a
pause. It is followed strike by strike; a time through is over when the student is at the
beginning again, or pauses. Then everything of the stretch is judged by the very function that
judges a file (`grade --bars`), so that both say the same.

Times are seconds of the take.
"""

from itertools import accumulate

import numpy as np

from evaluator.chart.graph import Bar
from evaluator.excerpt.rounds import looped
from evaluator.excerpt.song import Song
from evaluator.live.accompanist import JUMP, Pulse
from evaluator.live.following import Following, Place, Standing

TEMPI = np.ones(1)
"""Tempi against the one that was counted in at which somebody may begin."""
BACK = 0.5
"""Part of the passage by which somebody who is that much further back has begun again."""
SETTLED = 2
"""Strikes of the next time through that tell that the one before is over."""
PAUSE_BEATS = 2.0
"""Beats after the end of the passage after which it is a pause, if nothing more comes."""
STUCK = 4.0
"""Seconds in which nothing is struck within the passage that are a pause,"""
STUCK_BARS = 1.5
"""and at least so many bars."""


class Stretch:
    """One stretch of playing a passage."""

    def __init__(self, song: Song, ratio: float, at: float, *, opened: float) -> None:
        """It is to begin `at` that moment, at `ratio` played seconds a written one; strikes
        belong to it from `opened` on, a little earlier."""
        self.song = song
        self.opened = opened
        self.pulse = Pulse(0.0, at, ratio)
        """Where the student is expected when."""
        self.place = -1.0
        """Of the last strike, written seconds from the beginning, counted on from time to time."""
        self.times = 0
        """Times that the end of the passage went by."""
        self.told = 0
        """Times through that were judged and told."""
        self.jumped = False
        """Whether the last strike was elsewhere than expected; for whoever looks to put back."""
        self.judged_notes = 0
        """Notes that had come when it was judged last."""
        self.notes = 0
        self.last = self.now = at
        """When a note came last, and what time it is."""
        graph = song.graph
        self.following = Following(looped(graph), tempi=ratio * TEMPI)
        bars = [graph.bars[index] for index in graph.written]
        begins = list(accumulate((bar.seconds for bar in bars), initial=0.0))
        self.length = begins.pop()
        self._begins = {bar.number: at for bar, at in zip(bars, begins, strict=True)}
        self._beat = bars[0].seconds_per_beat
        self.owed = [
            begin + beat for bar, begin in zip(bars, begins, strict=True) for beat in _strikes(bar)
        ]
        """Places of the strikes that are wanted of the student."""
        self._end = max(self.owed, default=0.0) - bars[-1].seconds_per_beat - 1e-6
        self._bar = max(bar.seconds for bar in bars)
        self._seen = 0
        self._into: float | None = None
        self._since = 0
        """Strikes since the passage was begun anew."""

    @property
    def at_end(self) -> bool:
        """Whether the last strike was the passage's last, or nearly."""
        return self._into is not None and self._into >= self._end

    @property
    def complete(self) -> bool:
        """Whether the passage was played to its end, and that is over."""
        end = self.pulse.time((self.times + 1) * self.length)
        return self.at_end and self.now >= end - JUMP * self._beat * self.pulse.ratio

    @property
    def played(self) -> bool:
        """Whether anything was."""
        return self.notes > 0

    def heard(self, onset: float, pitch: int, velocity: int) -> None:
        """A note was struck."""
        self.following.push(onset, pitch, velocity)
        self.notes += 1
        self.last = onset

    def step(self, now: float) -> None:
        """Let time go by."""
        self.now = now
        self.following.step(now)
        strikes = len(self.following.strikes)
        if strikes == self._seen:
            return
        self._seen = strikes
        standing = self.following.standing()
        if standing is not None:
            self._stands(standing)

    def _stands(self, standing: Standing) -> None:
        bar = self.following.graph.bars[standing.bar]
        into = self._begins[bar.number] + standing.into
        expected = self.pulse.where(standing.at)
        if self._into is not None and self._went_back(into, standing):
            self.times += 1
            self._since = 0
        self._since += 1
        self._into = into
        self.place = self.times * self.length + into
        self.jumped = self.jumped or abs(self.place - expected) > JUMP * self._beat
        self.pulse = Pulse(self.place, standing.at, standing.ratio)

    def _went_back(self, into: float, standing: Standing) -> bool:
        """Whether the passage was begun anew: far back, or as long ago as it takes."""
        assert self._into is not None
        if into < self._into - BACK * self.length:
            return True
        ago = (standing.at - self.pulse.at) / standing.ratio
        return into <= self._into and ago > BACK * self.length

    def due(self) -> bool:
        """Whether a time through is over that was not judged yet."""
        return self.times > 0 and self._since == SETTLED and self.notes > self.judged_notes

    def paused(self, now: float) -> bool:
        """Whether the student has stopped."""
        if not self.played or now <= self.last:
            return False
        silent = now - self.last
        beats = PAUSE_BEATS * self._beat * self.pulse.ratio
        end = self.pulse.time((self.times + 1) * self.length)
        if self.at_end and now > end + beats and silent > beats:
            return True
        return silent > max(STUCK, STUCK_BARS * self._bar * self.pulse.ratio)

    def where(self, now: float) -> Place | None:
        """Where the student is now."""
        return self.following.place(now)


def _strikes(bar: Bar) -> list[float]:
    """Written seconds from the bar line at which something is wanted."""
    beats = {strike.beat for strike in bar.strikes} or {
        span.beat for span in bar.spans if span.chord is not None
    }
    return sorted(float(beat) * bar.seconds_per_beat for beat in beats)
