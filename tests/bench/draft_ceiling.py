"""How much of an annotation is in the take, so that an ear without the singer could tell it?

    ceiling(song, strikes)     # shares, under the names of the figures of `tests.bench.draft`

Of the changes of chord how many have a strike at all, and one that fits the new chord better
than the old; of the bar lines how many have a strike, and how many begin a bar about as long as
the song's others: some annotations count a part of a song twice as fast as it goes on; of the
time of chords in how much the third, or the seventh, is struck. What is not struck can be
guessed right, but not heard.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from evaluator.take.strike import Strike
from evaluator.theory.symbol import ChordSymbol

CHANGE, LINE = 0.15, 0.1
"""Seconds within which a change of chord, and a bar line, is right."""
_ALIKE = 0.25
"""By which bars of one song may differ in length: a ritard, and not twice the tempo."""
_COMPARED = ("maj", "min", "maj7", "7", "min7")
"""What `mir_eval.chord.sevenths` compares."""


@dataclass(frozen=True, slots=True)
class Annotation:
    """The labels of a song."""

    starts: Sequence[float]
    """Seconds at which its bars begin."""
    beats: Sequence[float]
    """(n + 1,) seconds of its beats, and its end."""
    chords: Sequence[ChordSymbol | None]
    """(n,) as its sheet has them."""
    labels: Sequence[str]
    """(n,) the same in the syntax of Harte et al. (ISMIR 2005)."""


def ceiling(song: Annotation, played: Sequence[Strike]) -> dict[str, dict[str, float]]:
    """What the labels of a song allow, as shares for each figure."""
    changes = [place for place in range(1, len(song.chords)) if _new(song.chords, place)]
    near = [_near(song.beats[place], CHANGE, played) for place in changes]
    heard = [
        any(_tells(strike, song.chords[place - 1], song.chords[place]) for strike in strikes)
        for place, strikes in zip(changes, near, strict=True)
    ]
    lines = [bool(_near(start, LINE, played)) for start in song.starts]
    lengths = np.diff(song.starts)
    return {
        "changes": {
            "struck": float(np.mean(list(map(bool, near)))),
            "heard": float(np.mean(heard)),
        },
        "bar lines": {
            "struck": float(np.mean(lines)),
            "even": float(np.mean(np.abs(lengths / np.median(lengths) - 1) <= _ALIKE)),
        },
        **{f"alone, {what}": {"struck": share} for what, share in _tones_struck(song, played)},
    }


def _new(row: Sequence[object], place: int) -> bool:
    return not place or row[place] != row[place - 1]


def _near(time: float, seconds: float, played: Sequence[Strike]) -> list[Strike]:
    return [strike for strike in played if abs(strike.time - time) <= seconds]


def _tells(strike: Strike, old: ChordSymbol | None, new: ChordSymbol | None) -> bool:
    """Whether a strike fits the new chord better than the old: by its tones, or its bass."""

    def fit(chord: ChordSymbol | None) -> int:
        if chord is None:
            return 0
        inside = sum(pitch % 12 in chord.tones for pitch in strike.pitches)
        return inside + (strike.pitches[0] % 12 == chord.bass_pc)

    return fit(new) > fit(old)


def _tones_struck(song: Annotation, played: Sequence[Strike]) -> Iterator[tuple[str, float]]:
    """Share of the time of chords with a third in which that is struck, and of those that
    `mir_eval.chord.sevenths` compares in which the seventh is struck, or none where there is
    none."""
    import mir_eval.chord

    starts = [place for place in range(len(song.labels)) if _new(song.labels, place)]
    found: dict[str, list[tuple[float, bool]]] = {"thirds": [], "sevenths": []}
    for first, last in pairwise([*starts, len(song.labels)]):
        root, tones, _ = mir_eval.chord.encode(song.labels[first], reduce_extended_chords=True)
        begin, end = song.beats[first] - LINE, song.beats[last] - LINE
        heard = {
            (pitch - root) % 12
            for strike in played
            if begin <= strike.time < end
            for pitch in strike.pitches
        }
        third, seventh = ({k for k in steps if tones[k]} for steps in ((3, 4), (10, 11)))
        if third:
            found["thirds"].append((end - begin, bool(third & heard)))
        if any(np.array_equal(tones, mir_eval.chord.QUALITIES[name]) for name in _COMPARED):
            right = bool(seventh & heard) if seventh else not heard & {10, 11}
            found["sevenths"].append((end - begin, right))
    for what, rows in found.items():
        yield what, sum(length * right for length, right in rows) / sum(long for long, _ in rows)
