"""In which key was the take played? A piano has a button that transposes."""

from collections.abc import Sequence

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.likeness import FEWEST_BARS, is_astray, is_certain
from evaluator.follow.path import Path
from evaluator.follow.playing import Playing
from evaluator.follow.positions import Floats
from evaluator.take.strike import Strike

GOOD_FIT = 0.25
"""A take that fits so well in the likeliest key, or in the chart's own, is not tried in more,
unless its way goes astray."""
CLEARER = 0.25
"""Another key than the chart's must fit better by so much: wrong chords change the key that is
likeliest, and a take that fits in its own key, and does not go astray in it, is not transposed."""
OWN_KEY = 0.03
"""Head start of the chart's own key in the likeness of pitch classes (a cosine)."""


def in_its_key(own: Path, playing: Playing) -> Path:
    """The path in the chart's own key, or a better one in another."""
    first, *others = _likely_keys(playing.graph, playing.strikes)
    best = own
    if (first == 0 and _fits(best)) or not playing.strikes:
        return best
    lost = is_astray(own)
    keys = [key for key in (first, *others) if key != 0]
    if playing.is_long:
        beginning = playing.beginning()
        begun = in_its_key(beginning.way(), beginning)
        keys = [begun.transposed] if begun.transposed else []
    for transposed in keys:
        other = playing.way(transposed)
        surer = not own.bars or (is_certain(other) and not is_certain(own))
        surer = surer and len(other.bars) >= FEWEST_BARS
        doubted = best is own and not surer and (not lost or is_astray(other))
        if other.fit > best.fit + (CLEARER if doubted else 0.0):
            best = other
        if transposed == first and _fits(best):
            break
    return _in_any_rhythm(best, first, playing)


def _in_any_rhythm(best: Path, likeliest: int, playing: Playing) -> Path:
    """The best path, or the one in the likeliest key that is followed in any rhythm: a rhythm that
    the chart does not have may hide the key."""
    if (is_certain(best) and best.bars) or likeliest == best.transposed or playing.written_out:
        return best
    other = playing.way(likeliest, "any")
    whole = is_certain(other) and len(other.bars) >= FEWEST_BARS
    return other if whole and other.fit > best.fit else best


def _fits(path: Path) -> bool:
    """Whether the key of the path is hardly in doubt."""
    return path.fit >= GOOD_FIT and is_certain(path) and not is_astray(path)


def _likely_keys(graph: BarGraph, strikes: Sequence[Strike]) -> list[int]:
    """Transpositions, -5..6, to be tried in this order.

    The chart's own key comes first unless the notes of the take, counted by pitch class,
    agree clearly better with the chart in another.
    """
    wanted = [0.0] * 12
    for bar in graph.bars:
        for span in bar.spans:
            beats = float(span.beats)
            for pc in span.allowed:
                wanted[pc] += beats
    likeness = key_likeness(np.array(wanted), strikes)
    likeness[0] += OWN_KEY
    return sorted(likeness, key=lambda shift: -likeness[shift])[:3]


def key_likeness(wanted: Floats, strikes: Sequence[Strike]) -> dict[int, float]:
    """How well a take's notes agree with the wanted ones in each transposition, -5..6.

    `wanted` is (12,), a weight for each pitch class; the likeness is the cosine between it
    and the notes of the take counted by pitch class, 0 to 1.
    """
    pitches = [pitch % 12 for strike in strikes for pitch in strike.pitches]
    heard = np.bincount(pitches, minlength=12)
    scale = float(np.linalg.norm(wanted) * np.linalg.norm(heard)) or 1.0
    return {shift: float(np.roll(wanted, shift) @ heard) / scale for shift in range(-5, 7)}
