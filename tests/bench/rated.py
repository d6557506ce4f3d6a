"""Do our marks rank takes as piano teachers do?

    python -m tests.bench.rated FOLDER [--misses]

Reads a folder of takes of written-out pieces with the ratings of four teachers (laid out as a
part of the Expert-Novice data, Jiang, ISMIR 2023): `PIECE.mxl`, `PIECE-NN.mid`,
`PIECE-NN.positions.txt` (bar + fraction of a whole note, tab, seconds), `ratings.csv`. The
folder is named on the command line and is not part of the project.

Shown are
- Spearman's correlation with the mean of the teachers, over all takes, within each piece and
  as the mean of the pieces: of each teacher with the mean of the other three, of our mark,
  of each of its parts alone, and of a mark whose parameters were chosen without the piece
  that it is shown for;
- how the marks are spread, and the mean mark by the teachers' rating;
- of what the teachers remark, what our report says too (`tests.bench.remarks`);
- how many bars begin within 150 ms of where they were played, one constant shift removed.

Five parameters are chosen, from three values each: the weights of bass, rhythm, form and touch
beside the chord's, and the share of steps astray at which the touch is half. What is chosen
is what ranks best on the other pieces, half by all takes and half by the mean within pieces,
and of those that rank as well, to within a hundredth, the mean.
"""

import csv
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import prod
from pathlib import Path
from statistics import fmean, median

import numpy as np
import numpy.typing as npt
from scipy.stats import spearmanr

from evaluator.excerpt.song import Song
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.marks import leaves
from evaluator.judge.rubric import STEADY
from evaluator.judge.touch.curves import HALVING, Halving
from evaluator.notation import import_score
from evaluator.parts import AS_RECKONED
from tests.bench.remarks import confirmed, first_things, left_out, show_rows

TEACHERS = 4
BASS = (8.0, 16.0, 32.0)
RHYTHM = (0.0, 10.0, 20.0)
FORM = (11.0, 22.0, 44.0)
TOUCH = (10.0, 20.0, 40.0)
HALF_AT = (3.0, 6.0, 12.0)
AS_GOOD = 0.01
BANDS = (1.0, 2.0, 2.75, 3.25, 3.75, 4.5, 5.01)
"""Ratings, the mean of the teachers, that the marks are shown by."""
PLACED_WITHIN = 0.150
"""Seconds."""
POOLED_GOAL, WITHIN_GOAL, SPREAD_GOAL, PLACED_GOAL = 0.78, 0.70, 25.0, 0.97

Floats = npt.NDArray[np.float64]
Parameters = tuple[float, float, float, float, float]
"""Weights of bass, rhythm, form and touch beside the chord's 32; width of the touch's curve."""


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


def grade_all(songs: Mapping[str, Song], takes: Sequence[Rated]) -> list[Graded]:
    return [grade_fully(songs[take.piece], take.midi, take_file=take.name) for take in takes]


def mark(graded: Graded, parameters: Parameters) -> float:
    """The overall mark with other weights and another curve of the touch."""
    bass, rhythm, form, touch, half_at = parameters
    weights = {"bass": bass, "rhythm": rhythm, "form": form, "touch": touch}
    rubric = replace(STEADY, weights={**STEADY.weights, **weights})
    marks = graded.judgement.marks
    known = {part: value for part in AS_RECKONED if (value := marks[part]) is not None}
    if "touch" in known:
        astray = HALVING.width * (100.0 / known["touch"] - 1.0)
        known["touch"] = Halving(half_at).mark(astray)
    return 100.0 * prod(leaves(known, rubric).values())


def agreement(ours: Floats, theirs: Floats, pieces: Sequence[str]) -> list[float]:
    """Spearman over all takes, within each piece, and the mean of the pieces.

    Not a number where all are alike; that piece is left out of the mean.
    """
    within = []
    for piece in dict.fromkeys(pieces):
        inside = np.array([one == piece for one in pieces])
        within.append(_spearman(ours[inside], theirs[inside]))
    return [_spearman(ours, theirs), *within, float(np.nanmean(within))]


def _spearman(ours: Floats, theirs: Floats) -> float:
    alike = np.ptp(ours) == 0 or np.ptp(theirs) == 0
    return float("nan") if alike else float(spearmanr(ours, theirs).statistic)


def choose(
    tried: Mapping[Parameters, Floats], theirs: Floats, pieces: Sequence[str], without: str
) -> Parameters:
    """The parameters that rank the other pieces best."""
    rest = np.array([one != without for one in pieces])
    kept = [one for one in pieces if one != without]
    worth = {}
    for parameters, marks in tried.items():
        found = agreement(marks[rest], theirs[rest], kept)
        worth[parameters] = (found[0] + found[-1]) / 2
    best = max(worth.values())
    good = [parameters for parameters, one in worth.items() if one >= best - AS_GOOD]
    bass, rhythm, form, touch, half_at = (fmean(column) for column in zip(*good, strict=True))
    return bass, rhythm, form, touch, half_at


def main(folder: Path, *, misses: bool) -> None:
    songs, takes = load(folder)
    pieces = [take.piece for take in takes]
    ratings = np.array([take.marks for take in takes], dtype=float)
    theirs = ratings.mean(axis=1)
    graded = grade_all(songs, takes)
    print(f"{len(takes)} takes; Spearman with the teachers' mean\n")
    _head(["all", *dict.fromkeys(pieces), "mean within"])
    single = []
    for number in range(TEACHERS):
        others = np.delete(ratings, number, axis=1).mean(axis=1)
        single.append(agreement(ratings[:, number], others, pieces))
        _row(f"teacher {number + 1} with the other three", single[-1])
    _row("mean of the single teachers", [fmean(column) for column in zip(*single, strict=True)])
    ours = np.array([one.judgement.marks.overall for one in graded])
    _row("our mark", agreement(ours, theirs, pieces))
    for part in AS_RECKONED:
        alone = [one.judgement.marks[part] for one in graded]
        known = np.array([100.0 if one is None else one for one in alone])
        _row(f"  {part} alone", agreement(known, theirs, pieces))
    _left_out(graded, theirs, pieces)
    unmarked = [
        take.name for take, one in zip(takes, graded, strict=True) if not one.report.matches
    ]
    print(f"    goals: {POOLED_GOAL:g} over all, {WITHIN_GOAL:g} within the pieces")
    print(f"\nnot recognised: {', '.join(unmarked) or 'none'}")
    _spread(ours, theirs)
    _remarks(takes, graded)
    _placed(takes, graded, misses=misses)


def _left_out(graded: Sequence[Graded], theirs: Floats, pieces: Sequence[str]) -> None:
    """Each piece marked with what was chosen on the others."""
    tried = {
        parameters: np.array([mark(one, parameters) for one in graded])
        for parameters in product(BASS, RHYTHM, FORM, TOUCH, HALF_AT)
    }
    marks = np.zeros(len(pieces))
    chosen = {piece: choose(tried, theirs, pieces, piece) for piece in dict.fromkeys(pieces)}
    for index, (piece, one) in enumerate(zip(pieces, graded, strict=True)):
        marks[index] = mark(one, chosen[piece])
    _row("chosen on the other pieces", agreement(marks, theirs, pieces))
    print(f"    {len(HALF_AT)} values tried of each of 5 parameters")
    chord = STEADY.weights["chord"]
    for piece, (bass, rhythm, form, touch, half_at) in chosen.items():
        print(
            f"    without {piece}: chord {chord:g}, bass {bass:.0f}, rhythm {rhythm:.0f}, "
            f"form {form:.0f}, touch {touch:.0f}, half at {half_at:.1f} % astray"
        )


def _spread(ours: Floats, theirs: Floats) -> None:
    tenth, half, most = np.percentile(ours, [10, 50, 90])
    print(
        f"\nMarks: a tenth below {tenth:.0f}, half below {half:.0f}, nine tenths below {most:.0f}; "
        f"{most - tenth:.0f} apart, goal {SPREAD_GOAL:g}"
    )
    for low, high in pairwise(BANDS):
        inside = (theirs >= low) & (theirs < high)
        if inside.any():
            found = ours[inside]
            passed = int((found >= STEADY.pass_mark).sum())
            print(
                f"    rated {low:g} to below {min(high, 5):g}: {len(found):>2} takes, mean mark "
                f"{found.mean():.0f} ({found.min():.0f} to {found.max():.0f}), {passed} reach "
                f"{STEADY.pass_mark:g}"
            )


def _remarks(takes: Sequence[Rated], graded: Sequence[Graded]) -> None:
    print("\nWhat the teachers remark, and what our reports say\n")
    print(f"  {'':<14}{'takes':>7}{'said':>6}{'precision':>11}{'remarks':>9}{'answered':>10}")
    reports, texts = [one.report for one in graded], [take.texts for take in takes]
    rows = confirmed(reports, texts)
    show_rows(rows)
    remarks, answered = sum(row.remarks for row in rows), sum(row.answered for row in rows)
    print(f"  together {answered} of {remarks} remarks answered: {answered / remarks:.2f}")
    print("  said from where the other pieces say:")
    show_rows(left_out(reports, texts, [take.piece for take in takes]))
    share, number = first_things(reports, texts)
    print(
        f"  of {number} first complaints of notes, halts or rhythm {share:.2f} stand among the "
        "things to put right first"
    )


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
