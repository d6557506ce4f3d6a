"""Where are the beats of a take?

The way through the take, from beat to beat, on which the strikes fall best on beats, halves
and quarters and the beat keeps its length: dynamic programming over the time and the length
of the last beat, after Ellis, "Beat Tracking by Dynamic Programming", Journal of New Music
Research 36(1), 2007, with the length of the beat carried along and every strike rated by its
place within the beat instead of an onset curve. Pianists' recordings need no such curve.

How strikes are shared out over the beat was counted in twenty accompaniments with annotated
beats (half on the beat, a quarter half-way, a tenth on the quarters).

Units: seconds.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from evaluator.take.model import Seconds
from evaluator.take.strike import Strike

FRAME = 0.010
SHORTEST, LONGEST = 0.25, 1.2
"""Of a beat: 240 to 50 a minute."""
LONGEST_OF_THREE = 1.6
"""Of a beat of three eighths."""
_STRAIGHT = (
    *((0.0, 0.5), (1.0, 0.5), (0.5, 0.27)),
    *((0.25, 0.05), (0.75, 0.06), (1 / 3, 0.02), (2 / 3, 0.03)),
)
_OF_THREE = ((0.0, 0.5), (1.0, 0.5), (1 / 3, 0.18), (2 / 3, 0.18), (1 / 6, 0.03), (5 / 6, 0.03))
_SWUNG = ((0.0, 0.5), (1.0, 0.5), (1 / 3, 0.08), (2 / 3, 0.3), (0.5, 0.04), (5 / 6, 0.04))
"""Place in the beat, and how often strikes stand there. Swung: as straight, with the half
beats late; common practice, no source."""
_CLEARLY = 0.05
"""Log likelihood a strike by which a swung song must be the likelier."""
_SAME_BEAT = 0.1
"""Logarithm by which two lengths of one beat may differ."""
_ANYWHERE = 0.03
_WIDTH, _NARROWEST = 0.015, 0.02
"""Scatter of a strike in seconds, and in parts of the beat."""
_STEADY = 600.0
"""What a beat costs that is longer or shorter than the last, times the squared logarithm."""
_BASS, _EACH, _MOST = 0.5, 0.25, 4
"""A strike counts more with a low note, and with each further one."""
LOW = 50
_USUAL_BEAT, _USUAL_SPREAD, _USUAL_WEIGHT = 0.63, 0.35, 0.3
"""Tempo of songs, 95 a minute, as a normal distribution of its logarithm."""
_USUAL_STRIKES, _STRIKES_SPREAD = 1.7, 0.35
"""Strikes a beat, in the same way."""
_EARLY = 6
"""Frames by which the first strike, and the last, may come before its beat."""
_NEVER = -1e9


@dataclass(frozen=True, slots=True)
class BeatRange:
    """Between which lengths a beat may lie, in seconds."""

    low: float = SHORTEST
    high: float = LONGEST
    of_three: bool = False
    """A beat is three eighths, as in 6/8."""


def find_beats(strikes: Sequence[Strike], lengths: BeatRange) -> tuple[Seconds, ...]:
    """Beats of a take: (n + 1,) seconds, n beats from the first strike to past the last.

    Straight sixteenths are as well the thirds of a beat of three of them. Where strikes fit a
    swung beat of another length better than any straight one, both ways to count are given.
    """
    begin = strikes[0].time - 2 * LONGEST_OF_THREE
    return tuple(begin + beats for beats in _beats_from(begin, strikes, lengths))


def _beats_from(begin: float, strikes: Sequence[Strike], lengths: BeatRange) -> tuple[Seconds, ...]:
    """The beats, counted from a little before the first strike."""
    onsets, taus = _onsets(strikes, begin), _lengths(lengths)
    limits = tuple(round((strikes[place].time - begin) / FRAME) for place in (0, -1))
    if lengths.of_three:
        return (_way(_gains(onsets, taus, _OF_THREE), taus, limits)[1],)
    straight, swung = (
        _way(_gains(onsets, taus, shares), taus, limits) for shares in (_STRAIGHT, _SWUNG)
    )
    if swung[0] <= straight[0] + _CLEARLY * onsets.sum():
        return (straight[1],)
    lengths_found = [float(np.median(np.diff(beats))) for _, beats in (swung, straight)]
    alike = abs(np.log(lengths_found[0] / lengths_found[1])) < _SAME_BEAT
    return (swung[1],) if alike else (swung[1], straight[1])


def _way(gains: Seconds, taus: np.ndarray, limits: tuple[int, ...]) -> tuple[float, Seconds]:
    """The best sum, and its beats."""
    first, last = limits
    scores, back = _forward(gains, taus, first)
    ends = np.arange(last + _EARLY + 1, len(gains))
    open_ends = np.where(ends[:, None] - taus <= last + _EARLY, scores[ends], _NEVER)
    place, k = np.unravel_index(int(open_ends.argmax()), open_ends.shape)
    time, length = int(ends[place]), int(k)
    score = float(scores[time, length])
    beats = [time]
    while length >= 0:
        before = int(back[time, length])
        time -= int(taus[length])
        beats.append(time)
        length = before
    return score, np.array(beats[::-1], dtype=np.float64) * FRAME


def usual_beat(beats: Seconds, strikes: Sequence[Strike]) -> float:
    """The same beats, or every second of them, or twice as many: which is likeliest?

    A factor for the length of the beat: 1, 2 or 0.5. Rated by tempo and by how many strikes
    come to a beat; nothing in a take without drums settles it.
    """
    beat, density = float(np.median(np.diff(beats))), len(strikes) / (len(beats) - 1)

    def unusual(factor: float) -> float:
        tempo = np.log(beat * factor / _USUAL_BEAT) / _USUAL_SPREAD
        full = np.log(density * factor / _USUAL_STRIKES) / _STRIKES_SPREAD
        return float(tempo**2 + full**2)

    return min((1.0, 2.0, 0.5), key=unusual)


def _onsets(strikes: Sequence[Strike], begin: float) -> Seconds:
    """Weight of what is struck in each frame."""
    frames = (
        round((strikes[-1].time - begin) / FRAME) + round(LONGEST_OF_THREE / FRAME) + _EARLY + 2
    )
    onsets = np.zeros(frames)
    for strike in strikes:
        more = min(_MOST, len(strike.pitches) - 1)
        weight = 1.0 + _BASS * (strike.pitches[0] <= LOW) + _EACH * more
        onsets[round((strike.time - begin) / FRAME)] += weight
    return onsets


def _lengths(lengths: BeatRange) -> np.ndarray:
    low, high = max(SHORTEST, lengths.low), min(LONGEST_OF_THREE, lengths.high)
    return np.arange(round(low / FRAME), max(round(low / FRAME), round(high / FRAME)) + 1)


def _gains(onsets: Seconds, taus: np.ndarray, shares: Sequence[tuple[float, float]]) -> Seconds:
    """(frames, lengths): how well the strikes of the beat that ends there fall into it."""
    gains = np.zeros((len(onsets), len(taus)))
    for k, tau in enumerate(taus.tolist()):
        likely = _density(np.arange(tau) / tau, max(_WIDTH / (tau * FRAME), _NARROWEST), shares)
        falls = np.convolve(onsets, (likely - np.log(tau * FRAME))[::-1])
        gains[1:, k] = falls[: len(onsets) - 1]
    unusual = np.log(taus * FRAME / _USUAL_BEAT) / _USUAL_SPREAD
    return gains - _USUAL_WEIGHT * unusual**2 / 2


def _density(place: Seconds, width: float, shares: Sequence[tuple[float, float]]) -> Seconds:
    """Logarithm of how likely a strike stands at a place of the beat."""
    peaks = sum(share * np.exp(-(((place - centre) / width) ** 2) / 2) for centre, share in shares)
    return np.asarray(np.log(_ANYWHERE + peaks / (width * np.sqrt(2 * np.pi))), dtype=np.float64)


def _forward(gains: Seconds, taus: np.ndarray, first: int) -> tuple[Seconds, np.ndarray]:
    """Best sum for a beat that ends at each frame with each length, and the length before.

    -1: it is the first beat, before which nothing but an early strike may stand. Frames that
    lie within the shortest beat know nothing of each other, and are reckoned together.
    """
    frames, count = gains.shape
    scores = np.full((frames, count), _NEVER)
    back = np.full((frames, count), -1, dtype=np.int16)
    logs = np.log(taus)
    changed = -_STEADY * (logs[:, None] - logs[None, :]) ** 2
    for start in range(1, frames, int(taus[0])):
        ends = np.arange(start, min(start + int(taus[0]), frames))[:, None]
        before = ends - taus
        reached = scores[np.maximum(before, 0)] + changed
        best, value = reached.argmax(axis=2), reached.max(axis=2)
        begins = (before <= first + _EARLY) & (ends > first + _EARLY) & (value < 0.0)
        value = np.where(begins, 0.0, value)
        scores[ends[:, 0]] = np.where(before >= 0, value + gains[ends[:, 0]], _NEVER)
        back[ends[:, 0]] = np.where(begins, -1, best)
    return scores, back
