"""Makes the recordings in this folder, each with the truth about it.

    python recordings/make.py

Nobody played these takes: the player of the tests plays the charts in `charts/` and puts
in what the recipes below say. The same recipe gives the same file. Beside each
`TAKE.mid` stands `TAKE.truth.json`: when each bar began and ended, and what is in it.

In a recipe `bar` is the bar's number in the expanded chart, and beats count from 0.
"""

import sys
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from evaluator.chart import BarGraph, read_chart  # noqa: E402
from tests.playing import (  # noqa: E402
    BarsMissing,
    Choice,
    Early,
    Fault,
    Late,
    Missed,
    Performance,
    Restart,
    WrongBass,
    WrongChord,
    play,
    to_midi,
)

TIDY: dict[str, object] = {
    "jitter_ms": 7.0,
    "spread_ms": 5.0,
    "wander_pct": 0.6,
    "uneven": 4.0,
    "octaves": 0.15,
    "coloured": 0.5,
    "rolled": 0.03,
    "pedal": "changed",
}
TYPICAL: dict[str, object] = {
    "tempo": 0.9,
    "jitter_ms": 15.0,
    "spread_ms": 10.0,
    "wander_pct": 2.0,
    "uneven": 8.0,
    "coloured": 0.2,
    "leaps": 0.15,
    "length": 0.8,
}


@dataclass(frozen=True, slots=True)
class Recipe:
    """One take: what is played, and what goes wrong."""

    song: str
    name: str
    numbers: tuple[range, ...]
    """Stretches of the chart, one after another, as they are played."""
    manner: dict[str, object]
    faults: tuple[Fault, ...] = field(default=())
    seed: int = 1
    tracks: Literal["one", "hands"] = "one"


def bars(first: int, last: int) -> range:
    """A stretch of the chart, both ends included."""
    return range(first, last + 1)


RECIPES = (
    Recipe("kettle_lane", "clean", (bars(1, 86),), TIDY),
    Recipe(
        "kettle_lane",
        "student",
        # Breaks off in bar 38 and takes up its line; no solo; the last tail three times.
        (bars(1, 38), bars(37, 63), bars(72, 82), bars(84, 86)),
        TYPICAL,
        (
            WrongBass(6, "A"),
            WrongBass(10, "A"),
            WrongBass(14, "A"),
            Missed(15, 2.5, "right"),
            Early(18, 1.0, "right", 130.0),
            Late(22, 2.0, "left", 140.0),
            WrongChord(25, "Gm"),
            Restart(38, 2.5, 1.8),
            Choice(72, tuple(bars(64, 71)), "left out"),
            Choice(84, (83,), "times"),
        ),
        seed=2,
        tracks="hands",
    ),
    Recipe(
        "kettle_lane",
        "short-tail",
        # Chorus 2 ends with two bars of D where the chart has three.
        (bars(1, 62), bars(64, 86)),
        {**TIDY, "tempo": 0.96, "jitter_ms": 12.0},
        (BarsMissing(64, (63,)),),
        seed=3,
    ),
    Recipe("tallow_moon", "clean", (bars(1, 71),), TIDY, seed=4),
    Recipe(
        "tallow_moon",
        "student",
        # Breaks off in bar 46 and takes up its line; the whistling is left out.
        (bars(1, 28), bars(37, 46), bars(45, 71)),
        TYPICAL,
        (
            WrongBass(2, "G"),
            WrongBass(10, "G"),
            Missed(8, 1.0, "right"),
            Early(6, 2.0, "right", 140.0),
            Late(19, 1.0, "left", 150.0),
            Choice(37, tuple(bars(29, 36)), "left out"),
            WrongChord(39, "Cm"),
            Restart(46, 1.0, 1.4),
        ),
        seed=5,
        tracks="hands",
    ),
    Recipe(
        "tallow_moon",
        "short-tail",
        # The first refrain ends with one bar of G where the chart has two.
        (bars(1, 27), bars(29, 71)),
        {**TIDY, "tempo": 1.05, "jitter_ms": 12.0},
        (BarsMissing(29, (28,)),),
        seed=6,
    ),
    Recipe("ladder_shuffle", "clean", (bars(1, 47),), TIDY, seed=7),
    Recipe(
        "ladder_shuffle",
        "student",
        # Warms up for two bars only, breaks off in bar 26, and vamps three times.
        (bars(1, 2), bars(5, 26), bars(25, 44), bars(43, 47)),
        # Straighter than the chart's two to one, as beginners play a shuffle.
        {**TYPICAL, "swing": 1.6},
        (
            Choice(5, (3, 4), "times"),
            Missed(9, 3.0, "left"),
            Early(11, 2.0, "left", 125.0),
            Late(13, 2.0, "left", 135.0),
            WrongChord(21, "Dm7"),
            WrongBass(23, "A"),
            Restart(26, 2.0, 2.2),
            Choice(43, (43, 44), "times"),
            WrongBass(46, "A"),
        ),
        seed=8,
        tracks="hands",
    ),
    Recipe(
        "ladder_shuffle",
        "short-tail",
        # The second line of the first chorus ends with one bar of A7 where the chart has two.
        (bars(1, 11), bars(13, 47)),
        {**TIDY, "tempo": 0.94, "jitter_ms": 12.0},
        (BarsMissing(13, (12,)),),
        seed=9,
    ),
)


def perform(recipe: Recipe, graph: BarGraph) -> Performance:
    """The take of a recipe; the main lines only, so a bar's number is its place in them."""
    numbers = [number for stretch in recipe.numbers for number in stretch]
    order = [graph.written[number - 1] for number in numbers]
    faults = [replace(fault, bar=place(fault, numbers)) for fault in recipe.faults]
    return play(graph, order, faults=faults, seed=recipe.seed, **recipe.manner)


def place(fault: Fault, numbers: list[int]) -> int:
    """Bar of the take, from 1: a bar broken off is the first of its number, else the last."""
    if isinstance(fault, Restart):
        return numbers.index(fault.bar) + 1
    return len(numbers) - numbers[::-1].index(fault.bar)


def main() -> None:
    """Write every take and its truth into this folder."""
    for recipe in RECIPES:
        chart = HERE.parent / "charts" / f"{recipe.song}.txt"
        graph = read_chart(chart.read_text(encoding="utf-8"), file=chart.name)
        take = perform(recipe, graph)
        path = HERE / f"{recipe.song}-{recipe.name}.mid"
        path.write_bytes(to_midi(take, tracks=recipe.tracks))
        path.with_suffix(".truth.json").write_text(take.truth.to_json(), encoding="utf-8")
        print(f"{path.name}: {take.truth.bars[-1].end:.0f} s, {len(take.notes)} notes")


if __name__ == "__main__":
    main()
