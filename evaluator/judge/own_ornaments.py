"""Which ornaments did the player add to written notes of his own accord?

A quick step to the neighbouring key and back, a mordent, or a trill, upon a note that has no
sign: players of every age add them, and print leaves them out. It is told from a stumble by the
written key itself, which is struck once more than is written: who hits the neighbour by mistake
and mends it strikes its own key once. Common practice, no source.

Units: seconds.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from evaluator.judge.written_place import PlayedNote

QUICK = 0.15
"""Seconds from one note of an ornament to the next."""
NEIGHBOURS = (-2, -1, 1, 2)
"""Semitones to the neighbouring key."""


@dataclass(frozen=True, slots=True)
class Lasting:
    """A written key that was struck, and how long it lasts."""

    key: int
    begins: float
    ends: float


def own_ornaments(
    lasting: Iterable[Lasting], notes: Sequence[PlayedNote], matched: frozenset[int]
) -> set[int]:
    """The notes of trills and mordents that the player added, by their numbers in the take.

    `notes` in the order of their onsets; `matched`: those that were struck for a written key.
    """
    by_key: dict[int, list[PlayedNote]] = defaultdict(list)
    for note in notes:
        by_key[note.pitch].append(note)
    found: set[int] = set()
    for one in lasting:
        for step in NEIGHBOURS:
            for run in _shakes(one, step, by_key):
                more = {note.note for note in run} - matched
                if any(note.pitch == one.key and note.note in more for note in run):
                    found |= more
    return found


def _shakes(
    one: Lasting, step: int, by_key: Mapping[int, Sequence[PlayedNote]]
) -> list[list[PlayedNote]]:
    """The runs of quick notes, to and fro between a key and its neighbour, while it lasts."""
    within = [
        note
        for key in (one.key, one.key + step)
        for note in _between(by_key.get(key, ()), one.begins - 2 * QUICK, one.ends)
    ]
    runs: list[list[PlayedNote]] = []
    for note in sorted(within, key=lambda note: note.onset):
        last = runs[-1][-1] if runs else None
        if last and last.pitch != note.pitch and note.onset - last.onset <= QUICK:
            runs[-1].append(note)
        else:
            runs.append([note])
    return [run for run in runs if len(run) > 2]


def _between(notes: Sequence[PlayedNote], begins: float, ends: float) -> Sequence[PlayedNote]:
    first = bisect_left(notes, begins, key=lambda note: note.onset)
    return notes[first : bisect_left(notes, ends, key=lambda note: note.onset)]
