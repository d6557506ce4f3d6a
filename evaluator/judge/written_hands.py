"""Which hand struck which note, where the chart writes out what each hand plays?

There the written notes tell better than register and gaps do: a melody goes down among
the chords, a left hand up into the melody. A note belongs to the hand one of whose keys,
wanted at that place, it is nearest to, wrong notes among them. Far from all of them, or as
near to one hand's as to the other's, it stays where the gaps have put it. Only where both
hands are written out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from evaluator.chart.graph import HANDS, Hand
from evaluator.judge.hands import HandStrike
from evaluator.judge.layout import Due, LaidBar

FAR = 12
"""Semitones from every wanted key, beyond which a note is nobody's by its key."""

Keys = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class WrittenPlace:
    """The keys that are wanted of each hand at one place."""

    left: Keys
    right: Keys

    def hand_of(self, key: int, usual: Hand) -> Hand:
        """The hand whose key this is, `usual` if that cannot be told."""
        to_left = min((abs(key - wanted) for wanted in self.left), default=FAR + 1)
        to_right = min((abs(key - wanted) for wanted in self.right), default=FAR + 1)
        if min(to_left, to_right) > FAR or to_left == to_right:
            return usual
        return "left" if to_left < to_right else "right"


def written_places(
    laid: Sequence[LaidBar], due: Sequence[Due], near: Sequence[int | None]
) -> list[WrittenPlace | None]:
    """For each strike what is written at its place; None where it is not, or for one hand only.

    `near` are indices into `due`, as `evaluator.judge.pieces.nearest_due` finds them.
    """
    keys: dict[tuple[int, float], dict[Hand, Keys]] = {}
    for one in due:
        if laid[one.played].bar.written_out:
            here = keys.setdefault((one.played, one.beat), {})
            here[one.strike.hand] = here.get(one.strike.hand, ()) + one.strike.pitches
    found: list[WrittenPlace | None] = []
    for at in near:
        wanted = None if at is None else keys.get((due[at].played, due[at].beat))
        found.append(
            WrittenPlace(wanted.get("left", ()), wanted.get("right", ())) if wanted else None
        )
    return found


def as_written(
    played: Sequence[HandStrike], places: Sequence[WrittenPlace | None]
) -> list[HandStrike]:
    """The hand strikes with each note in the hand that it is written for.

    `places` belong to the strikes to which `HandStrike.strike` refers.
    """
    found: list[HandStrike] = []
    for index, group in groupby(played, key=lambda hand: hand.strike):
        parts, place = list(group), places[index]
        found += parts if place is None else _dealt(parts, place)
    return found


_Note = tuple[int, int, int, float]
"""Pitch, index, velocity, end."""


def _dealt(parts: Sequence[HandStrike], place: WrittenPlace) -> Iterator[HandStrike]:
    for hand in HANDS:
        taken: list[_Note] = []
        most, source = 0, parts[0]
        for part in parts:
            notes = list(zip(part.pitches, part.notes, part.velocities, part.ends, strict=True))
            own = [note for note in notes if place.hand_of(note[0], part.hand) == hand]
            taken += own
            # The time is that of the strike from which most of the notes come.
            if len(own) > most:
                most, source = len(own), part
        if taken:
            pitches, indices, velocities, ends = zip(*sorted(taken), strict=True)
            yield replace(
                source,
                hand=hand,
                pitches=pitches,
                notes=indices,
                velocities=velocities,
                ends=ends,
            )
