"""Did the music go on: hesitations, steadiness, evenness, and the closing ritard?

A hesitation is a step from one place to the next that took longer than the pace there by
more than a third of a beat. Steadiness is how the tempo wanders when hesitations are left
out, taken over eight beats (Sogorski, Geisel, Priesemann 2018, arXiv 1710.05608). Evenness
is how many of the steps are astray, hesitations and those that are too short by a quarter of a
beat or more against the pace about them: what lies nearer is how people play (Repp 1997,
"Variability of timing in expressive piano performance increases with interval duration"). The
last bars may slow down and are held against none of these.

Units: seconds of the take; percent; bars are indices of played bars.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median

import numpy as np

from evaluator.judge.touch.playing import HALF_WINDOW, Playing, Step

HESITATION, HESITATION_BEATS = 0.15, 0.35
"""A step is a hesitation from so much longer on: seconds, and beats if that is more. A
third of a beat is an early eighth's worth, and more than feeling. Common practice, no
source."""
HURRY, HURRY_BEATS = 0.15, 0.25
"""A step that is so much too short is another note value: the sixteenth is the shortest that is
commonly written, and swung eighths, a sixth of a beat off, are within it. Seconds, and beats
if that is more. Common practice, no source."""
LEAST_STEPS = 32
"""In a shorter take a step astray does not weigh more than in one of so many."""
ONE_OF = 200
"""Of so many steps one may be astray, as in the takes of professionals (`tests.bench.scores`)."""
CLOSING = 2.0
"""Bars at the end that may slow down."""
FEW = 8
"""Steps from which on there is a pulse to speak of."""


@dataclass(frozen=True, slots=True)
class Hesitations:
    """Where the playing stopped to think."""

    count: int
    seconds: float
    """Lost in all."""
    share: float
    """Percent of the time that the playing took."""
    bars: tuple[int, ...]
    """Where, the longest first."""


@dataclass(frozen=True, slots=True)
class Wander:
    """How the tempo goes up and down in the course of a take."""

    percent: float
    """Standard deviation of the tempo over eight beats."""
    slowest: float
    """Against the median, 1 is as fast."""
    fastest: float
    slow_bar: int
    fast_bar: int


def hesitations(playing: Playing, steps: Sequence[Step]) -> Hesitations | None:
    """Where the playing stopped to think; None for a take too short to tell."""
    inner = _before_the_close(playing, steps, bars=1.0)
    if len(inner) < FEW:
        return None
    found = sorted((step for step in inner if _hesitates(step)), key=lambda step: -step.lost)
    lost = sum(step.lost for step in found)
    taken = sum(step.taken for step in inner)
    return Hesitations(
        count=len(found),
        seconds=lost,
        share=100.0 * lost / taken,
        bars=tuple(dict.fromkeys(step.after.played for step in found)),
    )


def wander(playing: Playing, steps: Sequence[Step]) -> Wander | None:
    """How the tempo, measured over eight beats, goes up and down; None for a take too short to
    tell."""
    inner = _before_the_close(playing, steps, bars=CLOSING)
    windows = _windows(inner, 2 * HALF_WINDOW * 60.0 / playing.graph.bpm)
    if len(windows) < 2:
        return None
    usual = median(pace for pace, _ in windows)
    slow, fast = max(windows), min(windows)
    return Wander(
        percent=100.0 * float(np.std(np.log([pace for pace, _ in windows]))),
        slowest=usual / slow[0],
        fastest=usual / fast[0],
        slow_bar=slow[1],
        fast_bar=fast[1],
    )


@dataclass(frozen=True, slots=True)
class Astray:
    """Steps that stand out from their neighbours: hesitations, and those that are too short."""

    percent: float
    """Of the steps, hesitations among them."""
    counted: float
    """The same without what a long piece has of them at the best."""
    hurries: int
    """Those of them that are too short."""
    bars: tuple[int, ...]
    """The worst first."""


def unevenness(playing: Playing, steps: Sequence[Step]) -> Astray | None:
    """The steps that stand out; None for a take too short to tell."""
    inner = [
        step
        for step in _before_the_close(playing, steps, bars=CLOSING)
        if not (step.before.off_beat or step.after.off_beat)
    ]
    if len(inner) < FEW:
        return None
    by_bar = Counter(step.after.played for step in inner if _hesitates(step) or _hurries(step))
    worst = sorted(by_bar, key=lambda bar: (-by_bar[bar], bar))
    found, whole = by_bar.total(), max(len(inner), LEAST_STEPS)
    percent = 100.0 * found / whole
    counted = 100.0 * max(0, found - len(inner) // ONE_OF) / whole
    return Astray(percent, counted, sum(map(_hurries, inner)), tuple(worst))


def closing(playing: Playing, steps: Sequence[Step]) -> float | None:
    """Percent by which the last two bars are slower than the rest; None without an ending."""
    if not playing.heard or playing.heard[-1].bar.index not in playing.graph.finals:
        return None
    inner = _before_the_close(playing, steps, bars=CLOSING)
    close = steps[len(inner) :]
    if len(inner) < FEW or len(close) < 2:
        return None
    before = _pace_over(inner)
    return 100.0 * (_pace_over(close) / before - 1.0)


def slackens_at_the_close(playing: Playing) -> bool:
    """Whether a ritard, or a fermata, is written in the bars in which the song closes."""
    first = len(playing.heard) - CLOSING
    return any(one.strike.waits and one.played >= first for one in playing.due)


def _pace_over(steps: Sequence[Step]) -> float:
    """Seconds of the take for a written second over these steps, without hesitations."""
    going = [step for step in steps if not _hesitates(step)] or list(steps)
    taken = fmean(step.taken for step in going)
    return taken / fmean(step.written for step in going)


def _hesitates(step: Step) -> bool:
    return step.lost > max(HESITATION, HESITATION_BEATS * step.after.beat_seconds)


def _hurries(step: Step) -> bool:
    return -step.lost > max(HURRY, HURRY_BEATS * step.after.beat_seconds)


def _before_the_close(playing: Playing, steps: Sequence[Step], *, bars: float) -> Sequence[Step]:
    """Steps that end before the last bars of the take begin."""
    if not playing.heard:
        return ()
    last = playing.heard[-1]
    end = last.laid.place + last.bar.seconds
    edge = end - bars * last.bar.seconds - 1e-6
    return [step for step in steps if step.after.place < edge]


def _windows(steps: Sequence[Step], length: float) -> list[tuple[float, int]]:
    """Pace and played bar of each stretch of so many written seconds."""
    places = [0.0]
    times = [0.0]
    for step in steps:
        places.append(places[-1] + step.written)
        times.append(times[-1] + (step.taken - step.lost if _hesitates(step) else step.taken))
    found = []
    last = 0
    for first in range(len(places)):
        while last < len(places) and places[last] < places[first] + length - 1e-6:
            last += 1
        if last == len(places):
            break
        if times[last] > times[first]:  # hands that are badly apart may turn places about
            pace = (times[last] - times[first]) / (places[last] - places[first])
            found.append((pace, steps[first].after.played))
    return found
