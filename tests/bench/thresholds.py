"""How well does the mark rank a piece on which its thresholds were not chosen either?

    python -m tests.bench.thresholds FOLDER

`tests.bench.rated` chooses weights without the piece that they are shown for; what counts as a
step astray was decided with all pieces in view. Here that is chosen anew for each piece, on the
others: from how many beats on a step is a hesitation or a hurry, and how far a step may follow
its neighbour in slowing down. The folder is that of `tests.bench.rated`; weights stay as they
are. Of values that rank equally well the first is taken.
"""

import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import product
from pathlib import Path

import numpy as np

from evaluator.excerpt.song import Song
from evaluator.judge.touch import playing, pulse
from tests.bench.rated import Floats, Rated, agreement, grade_all, load

HESITATIONS = (0.25, 0.35, 0.5)
HURRIES = (0.25, 0.35)
SLOWED = (1.0, 1.5)
Thresholds = tuple[float, float, float]


@contextmanager
def _set(thresholds: Thresholds) -> Iterator[None]:
    """The thresholds for as long as the block lasts."""
    usual = pulse.HESITATION_BEATS, pulse.HURRY_BEATS, playing.SLOWED
    try:
        pulse.HESITATION_BEATS, pulse.HURRY_BEATS, playing.SLOWED = thresholds
        yield
    finally:
        pulse.HESITATION_BEATS, pulse.HURRY_BEATS, playing.SLOWED = usual


def marks_by(
    songs: Mapping[str, Song], takes: Sequence[Rated]
) -> Iterator[tuple[Thresholds, Floats]]:
    """Every combination with the marks that it gives."""
    for thresholds in product(HESITATIONS, HURRIES, SLOWED):
        with _set(thresholds):
            graded = grade_all(songs, takes)
        yield thresholds, np.array([one.judgement.marks.overall for one in graded])


def main(folder: Path) -> None:
    songs, takes = load(folder)
    pieces = [take.piece for take in takes]
    theirs = np.array([take.marks for take in takes], dtype=float).mean(axis=1)
    tried = dict(marks_by(songs, takes))
    for thresholds, marks in tried.items():
        _show(str(thresholds), agreement(marks, theirs, pieces))
    left_out = np.zeros(len(takes))
    for piece in dict.fromkeys(pieces):
        inside = np.array([one == piece for one in pieces])
        kept = [one for one in pieces if one != piece]

        def worth(one: Thresholds, rest: Floats = ~inside, kept: Sequence[str] = kept) -> float:
            found = agreement(tried[one][rest], theirs[rest], kept)
            return found[0] + found[-1]

        best = max(tried, key=worth)
        print(f"  without {piece}: {best}")
        left_out[inside] = tried[best][inside]
    _show("chosen on the other pieces", agreement(left_out, theirs, pieces))


def _show(name: str, found: Sequence[float]) -> None:
    print(f"  {name:<28} all {found[0]:.3f}  within {found[-1]:.3f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
