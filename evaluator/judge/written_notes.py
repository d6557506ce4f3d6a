"""Which played note is which note that the chart writes out?

Where both hands' notes are exact, pitch and order tell more than time: a player may bend
the time within a bar, and a run of notes may come faster than fingers of one chord. So
notes are matched one by one, each pitch with its own, in order (`evaluator.judge.matching`),
and time only says which of several of that pitch. The time at which a note is awaited is
drawn to where its neighbours were found, in rounds, so that rubato is followed; a key that
both hands have at one place is struck once.

What remains of the played notes was struck for a written one that remains beside it, or
together with a strike, or by itself. What is played around an ornament on its keys is the
player's own, and left out of everything: it may be played in any way or not at all.

Units: seconds; places are written seconds from the first bar.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from evaluator.judge.hands import HandStrike
from evaluator.judge.layout import Due, LaidBar
from evaluator.judge.matching import match
from evaluator.judge.own_ornaments import Lasting, own_ornaments
from evaluator.judge.written_place import TOGETHER, Ornaments, Place, PlayedNote
from evaluator.take.model import Take

ROUNDS: tuple[tuple[float, int], ...] = ((1.0, 6), (0.7, 3), (0.45, 2))
"""For each round: beats within which a note is looked for, and places on either side whose
notes say when it was to be expected."""
INSTEAD = 0.3
"""Beats within which another key stands for one that is missing."""
UNHEARD = 0.25
"""Loudness against the usual; a key that was touched more softly than that is not heard among
the others: some 24 dB less. Common practice, no source."""
FAR = 12
"""Semitones from a written key, beyond which another key does not stand for it."""


@dataclass(frozen=True, slots=True)
class Matched:
    """The hands' strikes with written notes told one by one."""

    played: list[HandStrike]
    answers: Mapping[int, int]
    """For each due strike of written notes that was answered, the index of its answer."""
    times: Mapping[float, float]
    """When each written place was struck."""


def match_written(
    take: Take,
    laid: Sequence[LaidBar],
    due: Sequence[Due],
    played: Sequence[HandStrike],
    stretch_of: Sequence[int],
) -> Matched:
    """Tell the notes of bars that are written out for both hands.

    `stretch_of` gives for each hand strike the stretch (cut by restarts) it belongs to.
    """
    exact = [bar.bar.written_out for bar in laid]
    if not any(exact):
        return Matched(list(played), {}, {})
    notes = _notes(take, laid, exact, (played, stretch_of))
    composer = _Composer(due, played)
    for stretch, places in _places(laid, due, exact).items():
        found = notes.get(stretch, [])
        _pair_all(places, found)
        composer.add(places, found)
    return composer.matched()


def _notes(
    take: Take,
    laid: Sequence[LaidBar],
    exact: Sequence[bool],
    heard: tuple[Sequence[HandStrike], Sequence[int]],
) -> dict[int, list[PlayedNote]]:
    """The notes struck in bars that are written out, by stretch, in order of their onsets."""
    starts = [bar.played.start for bar in laid]
    onsets = take.onsets.tolist()
    found: dict[int, list[PlayedNote]] = defaultdict(list)
    for source, (strike, stretch) in enumerate(zip(*heard, strict=True)):
        for note, pitch, velocity, end in zip(
            strike.notes, strike.pitches, strike.velocities, strike.ends, strict=True
        ):
            onset = onsets[note]
            bar = max(0, bisect_right(starts, onset + TOGETHER) - 1)
            if exact[bar]:
                found[stretch].append(PlayedNote(source, onset, note, pitch, velocity, end))
    for group in found.values():
        group.sort(key=lambda one: (one.onset, one.pitch))
    return found


def _places(
    laid: Sequence[LaidBar], due: Sequence[Due], exact: Sequence[bool]
) -> dict[int, list[Place]]:
    """Where notes are written, by stretch, in order."""
    found: dict[int, dict[tuple[int, float], Place]] = defaultdict(dict)
    for index, one in enumerate(due):
        if not exact[one.played]:
            continue
        here = found[laid[one.played].stretch].setdefault(
            (one.played, one.beat),
            Place(one.place, one.rough, one.beat_seconds, [], {}, one.rough),
        )
        here.take_in(index, one)
    for bar in laid:
        if bar.bar.held_ornaments and exact[bar.index]:
            rough = bar.rough_time(0.0)
            here = found[bar.stretch].setdefault(
                (bar.index, 0.0), Place(bar.place_of(0.0), rough, bar.beat_seconds, [], {}, rough)
            )
            for held in bar.bar.held_ornaments:
                here.around |= held.around
                here.length = max(here.length, float(held.until) * bar.beat_seconds)
    return {
        stretch: sorted(places.values(), key=lambda place: place.at)
        for stretch, places in found.items()
    }


def _pair_all(places: Sequence[Place], notes: Sequence[PlayedNote]) -> None:
    """Find the note of every written key that was struck."""
    by_pitch: dict[int, list[PlayedNote]] = defaultdict(list)
    for note in notes:
        by_pitch[note.pitch].append(note)
    written: dict[int, list[Place]] = defaultdict(list)
    for place in places:
        for key in place.keys:
            written[key].append(place)
    for beats, around in ROUNDS:
        for key, wanted in written.items():
            wanted.sort(key=lambda place: place.expected)
            played = by_pitch.get(key, [])
            pairs = match(
                [place.expected for place in wanted],
                [note.onset for note in played],
                [place.reach(beats) for place in wanted],
            )
            for place, pair in zip(wanted, pairs, strict=True):
                place.keys[key] = None if pair is None else played[pair]
        _draw(places, around)


def _draw(places: Sequence[Place], around: int) -> None:
    """Await every place where its neighbours say that it came."""
    off = [[onset - place.rough for onset in place.struck()] for place in places]
    every = [one for some in off for one in some]
    usual = median(every) if every else 0.0
    for index, place in enumerate(places):
        near = [one for some in off[max(0, index - around) : index + around + 1] for one in some]
        place.expected = place.rough + (median(near) if near else usual)


class _Composer:
    """Puts notes together to the strikes that they answer."""

    def __init__(self, due: Sequence[Due], played: Sequence[HandStrike]) -> None:
        self._due = due
        self._sources = played
        loudness = [velocity for strike in played for velocity in strike.velocities]
        self._unheard = UNHEARD * median(loudness) if loudness else 0.0
        self._taken: set[int] = set()
        """Notes of the take that stand in a strike of their own place."""
        self._strikes: list[tuple[HandStrike, int | None]] = []
        self._times: dict[float, float] = {}

    def add(self, places: Sequence[Place], notes: Sequence[PlayedNote]) -> None:
        """Take in one stretch of playing."""
        beside: dict[int, list[PlayedNote]] = defaultdict(list)
        matched = frozenset(note.note for place in places for note in place.keys.values() if note)
        for place in places:
            found = place.struck()
            place.expected = median(found) if found else place.expected
            self._times[place.at] = place.expected
        when = sorted(places, key=lambda place: place.expected)
        times = [place.expected for place in when]
        ornaments = Ornaments(when)
        added = own_ornaments(self._lasting(places), notes, matched)
        for note in notes:
            if note.note in matched:
                continue
            if ornaments.has(note) or note.note in added or note.velocity < self._unheard:
                self._taken.add(note.note)
            else:
                due = self._meant(when, times, note)
                if due is not None:
                    beside[due].append(note)
        for place in places:
            for index in place.dues:
                answers = [place.keys[key] for key in self._due[index].strike.pitches]
                own = [note for note in answers if note is not None]
                if own or beside[index]:
                    self._strike(index, own, beside[index])

    def _lasting(self, places: Sequence[Place]) -> Iterator[Lasting]:
        """The written keys that were struck."""
        for place in places:
            for index in place.dues:
                strike = self._due[index].strike
                for key in strike.pitches:
                    note = place.keys[key]
                    if note is not None:
                        ends = note.onset + float(strike.beats) * place.beat_seconds
                        yield Lasting(key, note.onset, ends)

    def _meant(
        self, places: Sequence[Place], times: Sequence[float], note: PlayedNote
    ) -> int | None:
        """The due strike for which a note that is none of its keys was struck.

        `places` by their `times`.
        """
        at = bisect_left(times, note.onset)
        near = sorted(
            (place for place in places[max(0, at - 2) : at + 2] if place.dues),
            key=lambda place: abs(place.expected - note.onset),
        )
        for place in near:
            far = abs(place.expected - note.onset)
            lacking = [due for due in place.dues if self._lacks(place, due)]
            if lacking and far <= max(TOGETHER, INSTEAD * place.beat_seconds):
                one = self._nearest(lacking, note)
                if one is not None:
                    return one
        if near and abs(near[0].expected - note.onset) <= TOGETHER:
            return self._nearest(near[0].dues, note)
        return None

    def _lacks(self, place: Place, index: int) -> bool:
        return any(place.keys[key] is None for key in self._due[index].strike.pitches)

    def _nearest(self, dues: Sequence[int], note: PlayedNote) -> int | None:
        """The due strike to whose keys a note is nearest; None if it is far from all of them: a
        bass struck once more neither stands for a note of the melody nor spoils it."""
        one = min(dues, key=lambda due: self._off(due, note))
        return one if self._off(one, note) <= FAR else None

    def _off(self, due: int, note: PlayedNote) -> int:
        """Semitones from a note to the nearest key of a due strike."""
        return min(abs(key - note.pitch) for key in self._due[due].strike.pitches)

    def _strike(self, index: int, own: Sequence[PlayedNote], beside: Sequence[PlayedNote]) -> None:
        notes = sorted((*own, *beside), key=lambda note: (note.pitch, note.onset))
        self._taken.update(note.note for note in notes)
        strike = HandStrike(
            strike=self._sources[notes[0].source].strike,
            hand=self._due[index].strike.hand,
            time=median(note.onset for note in own or beside),
            notes=tuple(note.note for note in notes),
            pitches=tuple(note.pitch for note in notes),
            velocities=tuple(note.velocity for note in notes),
            ends=tuple(note.end for note in notes),
        )
        self._strikes.append((strike, index))

    def matched(self) -> Matched:
        """Every strike, in order of time."""
        rest = [(strike, None) for strike in self._left()]
        ordered = sorted([*self._strikes, *rest], key=lambda pair: (pair[0].time, pair[0].hand))
        answers = {due: place for place, (_, due) in enumerate(ordered) if due is not None}
        return Matched([strike for strike, _ in ordered], answers, self._times)

    def _left(self) -> Iterator[HandStrike]:
        """What is left of the strikes as they were heard."""
        for strike in self._sources:
            kept = [place for place, note in enumerate(strike.notes) if note not in self._taken]
            if len(kept) == len(strike.notes):
                yield strike
            elif kept:
                yield _part(strike, kept)


def _part(strike: HandStrike, kept: Sequence[int]) -> HandStrike:
    return replace(
        strike,
        notes=tuple(strike.notes[place] for place in kept),
        pitches=tuple(strike.pitches[place] for place in kept),
        velocities=tuple(strike.velocities[place] for place in kept),
        ends=tuple(strike.ends[place] for place in kept),
    )
