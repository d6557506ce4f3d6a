"""How late did written notes come, when the player may bend the time as music bends?

The slow course of a take (`evaluator.judge.pace`) knows tempo; of written music players
also linger on a note, breathe before a phrase and hurry through a bar, and the rhythm stays
what it was. So each onset is held against its neighbours: as standing between them, as
going on from those before, or as leading to those behind, whichever it fits best. Beats are
held against beats; what lies within a beat against the beats around it or its own
neighbours. A pause before a note belongs to the hesitations, not to the rhythm; time that
was cut away by more than `CUT` of what the chart has there is no rubato.

Units: seconds; places are written seconds.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

CUT = 1 / 3
"""Share of an interval that may be lost to rubato; with more, two equal notes would sound
like a dotted pair. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Onset:
    """A written place and when it was struck."""

    place: float
    time: float
    on_beat: bool


def lateness(onsets: Sequence[Onset]) -> Mapping[float, float]:
    """For the places of one stretch, in order, how late each came by its neighbours.

    Nothing for a place that has too few of them.
    """
    beats = [index for index, onset in enumerate(onsets) if onset.on_beat]
    found = {}
    for index, onset in enumerate(onsets):
        at = bisect_left(beats, index)
        if onset.on_beat:
            before, behind = beats[:at][-2:], beats[at + 1 :][:2]
        else:
            before = list(range(max(0, index - 2), index))
            behind = list(range(index + 1, min(index + 3, len(onsets))))
        ways = _ways(onsets, index, before, behind)
        if not onset.on_beat and 0 < at < len(beats):
            ways += _between(onsets, index, beats[at - 1], beats[at])
        if ways:
            found[onset.place] = min(ways, key=abs)
    return found


def _ways(
    onsets: Sequence[Onset], index: int, before: Sequence[int], behind: Sequence[int]
) -> list[float]:
    here = onsets[index]
    ways = []
    if before and behind:
        ways += _between(onsets, index, before[-1], behind[0])
    if len(before) == 2:
        ways.append(here.time - _on_line(onsets[before[0]], onsets[before[1]], here.place))
    if len(behind) == 2:
        first, second = onsets[behind[0]], onsets[behind[1]]
        rate = (second.time - first.time) / (second.place - first.place)
        last = onsets[before[-1]] if before else None
        cut = last is not None and (here.time - last.time) < (1 - CUT) * rate * (
            here.place - last.place
        )
        if not cut:
            ways.append(here.time - _on_line(first, second, here.place))
    return ways


def _between(onsets: Sequence[Onset], index: int, before: int, behind: int) -> list[float]:
    here = onsets[index]
    return [here.time - _on_line(onsets[before], onsets[behind], here.place)]


def _on_line(one: Onset, other: Onset, place: float) -> float:
    """When a place would have come on the line through two others."""
    rate = (other.time - one.time) / (other.place - one.place)
    return one.time + rate * (place - one.place)
