"""Do our marks rank takes as piano teachers do?

    python -m tests.bench.rated FOLDER [--misses]

Reads a folder of takes of written-out pieces with the ratings of four teachers (laid out as a
part of the Expert-Novice data, Jiang, ISMIR 2023): `PIECE.mxl`, `PIECE-NN.mid`,
`PIECE-NN.positions.txt` (bar + fraction of a whole note, tab, seconds), `ratings.csv`. The
folder is named on the command line and is not part of the project.

Shown are
- Spearman's correlation with the mean of the teachers, over all takes and within each piece:
  of each teacher with the mean of the other three, of our mark, of our mark without the
  touch, and of a mark whose parameters were chosen without the piece that it is shown for;
- of what the teachers complain of, what our findings confirm (`tests.bench.remarks`);
- how many bars begin within 150 ms of where they were played, one constant shift removed.

Three parameters are chosen, from few values each: the share of the touch in the mark, how
strict its curves are (a factor on how far beyond right a value lies), and the tolerance of
time. What is chosen is what ranks best over the other pieces together, and of those that
rank as well, to within a hundredth, the mean.
"""

import csv
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from statistics import fmean, median

import numpy as np
import numpy.typing as npt
from scipy.stats import spearmanr

from evaluator.grading import Graded, Song, grade_fully, prepare
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.notation import import_score
from tests.bench.remarks import confirmed

TEACHERS = 4
SHARES = (0.0, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4)
STRICTNESS = (0.5, 0.75, 1.0, 1.5, 2.0)
STRIKE_MS = (55.0, 75.0, 100.0)
AS_GOOD = 0.01
PLACED_WITHIN = 0.150
"""Seconds."""
GOAL, PLACED_GOAL = 0.70, 0.97

Floats = npt.NDArray[np.float64]
Parameters = tuple[float, float, float]
"""Share of the touch, strictness, tolerance."""


@dataclass(frozen=True, slots=True)
class Rated:
    """One take with what the teachers said."""

    piece: str
    name: str
    midi: bytes
    positions: tuple[tuple[str, float], ...]
    marks: tuple[int, ...]
    texts: tuple[str, ...]


def load(folder: Path) -> tuple[dict[str, Song], list[Rated]]:
    """The songs by name, and every rated take."""
    songs: dict[str, Song] = {}
    takes = []
    with (folder / "ratings.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            piece = row["piece"]
            if piece not in songs:
                score = (folder / f"{piece}.mxl").read_bytes()
                songs[piece] = prepare(import_score(score, name=piece).text, chart_file=piece)
            name = f"{piece}-{int(row['recording']):02d}"
            teachers = [f"instructor{number}" for number in range(1, TEACHERS + 1)]
            takes.append(
                Rated(
                    piece,
                    name,
                    (folder / f"{name}.mid").read_bytes(),
                    _positions(folder / f"{name}.positions.txt"),
                    tuple(int(row[one]) for one in teachers),
                    tuple(row[f"{one}_text"] for one in teachers),
                )
            )
    return songs, takes


def _positions(path: Path) -> tuple[tuple[str, float], ...]:
    lines = [line.split("\t") for line in path.read_text(encoding="utf-8").splitlines() if line]
    return tuple((place, float(seconds)) for place, seconds in lines)


def grade_all(songs: Mapping[str, Song], takes: Sequence[Rated], rubric: Rubric) -> list[Graded]:
    return [
        grade_fully(songs[take.piece], take.midi, take_file=take.name, rubric=rubric)
        for take in takes
    ]


def mark(graded: Graded, share: float, strictness: float) -> float:
    """The overall mark with another share of the touch and other curves."""
    judgement = graded.judgement
    marks = judgement.marks
    plain = {
        part: (value, STEADY.shares[part])
        for part in ("chord", "rhythm", "form", "bass")
        if (value := getattr(marks, part)) is not None
    }
    whole = sum(weight for _, weight in plain.values())
    rest = sum(value * weight for value, weight in plain.values()) / whole
    # A bell that is narrower by a factor is the bell itself to the power of its square.
    touched = [
        100.0 * ((one.mark or 0.0) / 100.0) ** strictness**2
        for one in judgement.touch.aspects
        if one.aspect in judgement.touch.counted
    ]
    return rest if not touched else (1.0 - share) * rest + share * fmean(touched)


def agreement(ours: Floats, theirs: Floats, pieces: Sequence[str]) -> list[float]:
    """Spearman over all takes, then within each piece."""
    found = [float(spearmanr(ours, theirs).statistic)]
    for piece in dict.fromkeys(pieces):
        inside = np.array([one == piece for one in pieces])
        found.append(float(spearmanr(ours[inside], theirs[inside]).statistic))
    return found


def choose(
    tried: Mapping[Parameters, Floats], theirs: Floats, pieces: Sequence[str], without: str
) -> Parameters:
    """The parameters that rank the other pieces best."""
    rest = np.array([one != without for one in pieces])
    kept = [one for one in pieces if one != without]
    worth = {
        parameters: fmean(agreement(marks[rest], theirs[rest], kept))
        for parameters, marks in tried.items()
    }
    best = max(worth.values())
    good = [parameters for parameters, one in worth.items() if one >= best - AS_GOOD]
    share, strictness, strike_ms = (fmean(column) for column in zip(*good, strict=True))
    return share, strictness, min(STRIKE_MS, key=lambda one: abs(one - strike_ms))


def main(folder: Path, *, misses: bool) -> None:
    songs, takes = load(folder)
    pieces = [take.piece for take in takes]
    marks = np.array([take.marks for take in takes], dtype=float)
    theirs = marks.mean(axis=1)
    graded = {
        width: grade_all(songs, takes, replace(STEADY, strike_ms=width)) for width in STRIKE_MS
    }
    tried = {
        (share, strictness, width): np.array([mark(one, share, strictness) for one in found])
        for width, found in graded.items()
        for share, strictness in product(SHARES, STRICTNESS)
    }
    usual = graded[STEADY.strike_ms]
    print(f"{len(takes)} takes; Spearman with the teachers' mean\n")
    _head(["all", *dict.fromkeys(pieces)])
    single = []
    for number in range(TEACHERS):
        others = np.delete(marks, number, axis=1).mean(axis=1)
        single.append(agreement(marks[:, number], others, pieces))
        _row(f"teacher {number + 1} with the other three", single[-1])
    _row("mean of the single teachers", [fmean(column) for column in zip(*single, strict=True)])
    ours = np.array([one.judgement.marks.overall for one in usual])
    _row("our mark", agreement(ours, theirs, pieces))
    plain = np.array([mark(one, 0.0, 1.0) for one in usual])
    _row("our mark without the touch", agreement(plain, theirs, pieces))
    _left_out(tried, graded, theirs, pieces)
    unmarked = [take.name for take, one in zip(takes, usual, strict=True) if not one.report.matches]
    print(f"\nnot recognised: {', '.join(unmarked) or 'none'}; goal over all {GOAL:g}")
    _remarks(takes, usual)
    _placed(takes, usual, misses=misses)


def _left_out(
    tried: Mapping[Parameters, Floats],
    graded: Mapping[float, Sequence[Graded]],
    theirs: Floats,
    pieces: Sequence[str],
) -> None:
    """Each piece marked with what was chosen on the others."""
    marks = np.zeros(len(pieces))
    chosen = {}
    for piece in dict.fromkeys(pieces):
        share, strictness, width = choose(tried, theirs, pieces, piece)
        chosen[piece] = (share, strictness, width)
        for index, one in enumerate(graded[width]):
            if pieces[index] == piece:
                marks[index] = mark(one, share, strictness)
    _row("chosen on the other pieces", agreement(marks, theirs, pieces))
    for piece, (share, strictness, width) in chosen.items():
        print(
            f"    without {piece}: touch {share:.2f} of the mark, strictness {strictness:.2f}, "
            f"tolerance {width:.0f} ms"
        )


def _remarks(takes: Sequence[Rated], graded: Sequence[Graded]) -> None:
    print("\nWhat the teachers complain of, and our findings\n")
    print(f"  {'':<14}{'said':>6}{'found':>7}{'precision':>11}{'recall':>8}{'said twice':>12}")
    rows = confirmed([one.report for one in graded], [take.texts for take in takes])
    for kind, said, found, precision, recall, twice in rows:
        print(f"  {kind:<14}{said:>6}{found:>7}{precision:>11.2f}{recall:>8.2f}{twice:>12.2f}")


def _placed(takes: Sequence[Rated], graded: Sequence[Graded], *, misses: bool) -> None:
    right = total = 0
    lines = []
    for take, one in zip(takes, graded, strict=True):
        off = bars_off(take, one)
        wrong = {bar: seconds for bar, seconds in off.items() if not abs(seconds) <= PLACED_WITHIN}
        right += len(off) - len(wrong)
        total += len(off)
        if wrong:
            told = ", ".join(
                f"{bar} {'not played' if np.isnan(s) else f'{1000 * s:+.0f} ms'}"
                for bar, s in wrong.items()
            )
            lines.append(f"    {take.name}: {len(wrong)} of {len(off)}: {told}")
    share = right / total if total else float("nan")
    print(f"\nBars within 150 ms: {share:.4f} of {total}; goal {PLACED_GOAL:g}")
    if misses:
        print("\n".join(lines))


def bars_off(take: Rated, graded: Graded) -> dict[int, float]:
    """For each bar whose beginning was annotated how late we have it, the shift removed.

    A bar that was played several times is taken where it lies nearest.
    """
    truth = {
        int(place.split("+")[0]): seconds
        for place, seconds in take.positions
        if place.endswith("+0/1")
    }
    bars = graded.song.graph.bars
    starts: dict[int, list[float]] = {}
    for verdict in graded.judgement.bars:
        starts.setdefault(bars[verdict.bar].number, []).append(verdict.start)
    last = {bar: starts[bar][-1] - seconds for bar, seconds in truth.items() if bar in starts}
    shift = median(last.values()) if last else 0.0
    return {
        bar: min((start - seconds - shift for start in starts.get(bar, ())), key=abs, default=nan)
        for bar, seconds in truth.items()
        for nan in [float("nan")]
    }


def _head(names: Sequence[str]) -> None:
    print(f"  {'':<34}" + "".join(f"{name[:12]:>14}" for name in names))


def _row(name: str, values: Sequence[float]) -> None:
    print(f"  {name:<34}" + "".join(f"{value:>14.2f}" for value in values))


if __name__ == "__main__":
    arguments = sys.argv[1:]
    main(
        Path(next(one for one in arguments if not one.startswith("-"))),
        misses="--misses" in arguments,
    )
