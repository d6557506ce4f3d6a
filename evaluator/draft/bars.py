"""Which bars were played, in which line and section of the sheet?

The way through the sheet, cut at its bar lines. A bar belongs to the line in which it
begins. Where two lines meet on the same chord nothing is heard of the seam: the later line
keeps the bar that its first chord usually has, and what is left belongs to the one before,
as a tail does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import numpy as np

from evaluator.draft.align import Alignment
from evaluator.draft.hands import EARLY, Played
from evaluator.draft.route import SheetRoute
from evaluator.theory.symbol import ChordSymbol


@dataclass(frozen=True, slots=True)
class PlayedSpan:
    """A chord within a bar."""

    chord: ChordSymbol | None
    first: int
    """Beat of the take at which it begins."""
    beats: int


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """A bar of the take."""

    first: int
    """Its first beat in the take."""
    beats: int
    spans: tuple[PlayedSpan, ...]
    line: int
    """Line of the route."""
    visit: int
    """Which playing of a line, counted through the take."""

    @property
    def place(self) -> tuple[int, int]:
        return self.visit, self.line


def played_bars(way: Alignment, sheet: SheetRoute, bar: int) -> list[PlayedBar]:
    """Every bar of the take; the last one is full, whatever was heard of it."""
    places = _settled(way, sheet)
    visits = _visits(places, sheet)
    lines = [sheet.line_of(place) for place in places]
    starts = [0, *(np.flatnonzero(way.in_bar[1:] == 0) + 1).tolist()]
    ends = [*starts[1:], len(places)]
    bars = []
    for start, end in zip(starts, ends, strict=True):
        length = end - start
        if end == len(places):
            length = max(length, bar - int(way.in_bar[start]))
        spans = _spans([sheet.chord_at(place) for place in places[start:end]], start, length)
        bars.append(PlayedBar(start, length, spans, lines[start], visits[start]))
    return bars


def without_upbeat(bars: Sequence[PlayedBar], played: Played, beats: int) -> list[PlayedBar]:
    """The bars from the first whole one on, if only the tune leads into it.

    An upbeat with chords of its own is a bar of the song.
    """
    if len(bars) < 2 or bars[0].beats >= beats or len(bars[0].spans) > 1:
        return list(bars)
    struck = played.between(bars[0].first - EARLY, bars[1].first - EARLY)
    tune = all(one.hand == "right" and len(one.pitches) == 1 for one in struck)
    alone = bars[0].place == bars[1].place
    return list(bars[1:]) if tune and alone else list(bars)


def joined(spans: Sequence[PlayedSpan]) -> tuple[PlayedSpan, ...]:
    """The spans of a bar, those of one chord that follow each other as one."""
    found: list[PlayedSpan] = []
    for span in spans:
        if found and found[-1].chord == span.chord:
            found[-1] = replace(found[-1], beats=found[-1].beats + span.beats)
        else:
            found.append(span)
    return tuple(found)


def _spans(chords: Sequence[ChordSymbol | None], start: int, beats: int) -> tuple[PlayedSpan, ...]:
    found: list[PlayedSpan] = []
    at = start
    for chord, group in groupby(chords):
        count = len(list(group))
        found.append(PlayedSpan(chord, at, count))
        at += count
    last = found[-1]
    found[-1] = PlayedSpan(last.chord, last.first, start + beats - last.first)
    return tuple(found)


def _settled(way: Alignment, sheet: SheetRoute) -> list[int]:
    """Places by beat, with the seams between lines on one chord where a bar begins."""
    places: list[int] = way.places.tolist()
    starts = set(sheet.route.lines)
    seams = [
        beat
        for beat, (before, after) in enumerate(pairwise(places), 1)
        if after != before
        and after in starts
        and sheet.chord_at(before) == sheet.chord_at(after)
        and not _alone(sheet, after)
    ]
    usual = _usual_lengths(places, seams, sheet)
    twins = sheet.route.twins()
    for beat in seams:
        end = next((k for k in range(beat, len(places)) if places[k] != places[beat]), len(places))
        begin = next((k for k in range(beat - 1, -1, -1) if places[k] != places[beat - 1]), -1) + 1
        seam = max(begin + 1, end - usual.get(twins[places[beat]], 1))
        while seam > begin + 1 and way.in_bar[seam] != 0:
            seam -= 1
        if way.in_bar[seam] == 0:
            places[begin:end] = [places[begin]] * (seam - begin) + [places[beat]] * (end - seam)
    return places


def _usual_lengths(
    places: Sequence[int], seams: Sequence[int], sheet: SheetRoute
) -> dict[tuple[int, int], int]:
    """Beats of the first chord of a line, from its playings after another chord."""
    starts, twins = set(sheet.route.lines), sheet.route.twins()
    found: dict[tuple[int, int], int] = {}
    at = 0
    for place, group in groupby(places):
        length = len(list(group))
        if place in starts and at not in seams:
            found.setdefault(twins[place], length)
        at += length
    return found


def _alone(sheet: SheetRoute, place: int) -> bool:
    """Whether a line is nothing but this chord: a tail, as long as it likes."""
    line = sheet.line_of(place)
    return len(sheet.lines[line].chords) == 1


def _visits(places: Sequence[int], sheet: SheetRoute) -> list[int]:
    """Which playing of a line each beat belongs to: a new one wherever a line is begun."""
    starts = set(sheet.route.lines)
    visits, visit = [0], 0
    for before, after in pairwise(places):
        visit += before != after and after in starts
        visits.append(visit)
    return visits
