"""Makes the takes of an invented class in `class/`: twelve students play Kettle Lane.

    python recordings/make_class.py

Students, like everything here, are invented; the player of the tests plays what the
recipes say. The class has the troubles of a class: half of it plays the plain root under
A, many count the tail of Chorus 2 wrongly, and some things happen to one student alone.
One came twice, one sent another song first, one file is cut off.
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from evaluator.chart import BarGraph, read_chart  # noqa: E402
from recordings.make import TIDY, TYPICAL, Recipe, bars, perform  # noqa: E402
from tests.playing import (  # noqa: E402
    BarsExtra,
    BarsMissing,
    Choice,
    Fault,
    Late,
    Missed,
    Pause,
    Restart,
    Slip,
    WrongBass,
    WrongChord,
    to_midi,
)

SONG = "kettle_lane"
CUT = {"Greta Holm - kettle lane"}
"""Files of which only the first part arrived."""
TRANSPOSED = {"Finn Garrow - kettle_lane": 2}
"""Semitones that the piano was set to."""

WHOLE = (bars(1, 86),)
FOUR_FOR_THREE = (bars(1, 63), bars(63, 86))
TWO_FOR_THREE = (bars(1, 62), bars(64, 86))
NO_SOLO = (bars(1, 63), bars(72, 86))
ONE_TOO_MANY = BarsExtra(63, (63,))
LEFT_OUT = Choice(72, tuple(bars(64, 71)), "left out")


def roots(*numbers: int) -> tuple[Fault, ...]:
    """The plain root under A, where the chart wants C#."""
    return tuple(WrongBass(number, "A") for number in numbers)


def under_d(*numbers: int) -> tuple[Fault, ...]:
    """D in the bass where the chart has D/F#."""
    return tuple(WrongBass(number, "D") for number in numbers)


def no_and_of_three(*numbers: int) -> tuple[Fault, ...]:
    """The chord that belongs between 3 and 4 left out."""
    return tuple(Missed(number, 2.5, "right") for number in numbers)


def other_chord(chord: str, *numbers: int) -> tuple[Fault, ...]:
    """Another chord of the right hand over the whole bar."""
    return tuple(WrongChord(number, chord) for number in numbers)


def no_left_on_three(*numbers: int) -> tuple[Fault, ...]:
    """The left hand plays only once in the bar."""
    return tuple(Missed(number, 2.0, "left") for number in numbers)


STEADY = {**TYPICAL, "jitter_ms": 11.0, "tempo": 0.96}
SLOW = {**TYPICAL, "tempo": 0.76, "wander_pct": 2.5}
ROUGH = {**TYPICAL, "jitter_ms": 24.0, "spread_ms": 18.0, "tempo": 1.04, "leaps": 0.3}

CLASS = (
    Recipe(
        SONG,
        "Anna Appleby - take 1",
        FOUR_FOR_THREE,
        STEADY,
        (*roots(6, 10, 14, 19, 34), ONE_TOO_MANY),
        21,
    ),
    Recipe(SONG, "Anna Appleby - take 2", WHOLE, TIDY, (Slip(25, 1.0),), 22),
    Recipe(
        SONG,
        "Bruno Castell - home",
        FOUR_FOR_THREE,
        STEADY,
        (*roots(6, 10, 12, 14, 19, 34, 38, 40, 42, 47), ONE_TOO_MANY),
        23,
        "hands",
    ),
    Recipe(
        SONG,
        "Chiara Dorn - take 1",
        WHOLE,
        TYPICAL,
        (*no_and_of_three(5, 7, 8, 13, 15, 33, 35),),
        24,
    ),
    Recipe(
        SONG,
        "Chiara Dorn - take 2",
        FOUR_FOR_THREE,
        TYPICAL,
        (*no_and_of_three(5, 7, 8, 13, 15, 33, 35, 41, 43), ONE_TOO_MANY),
        35,
    ),
    Recipe(
        SONG,
        "Dilan Erol - kettle lane",
        WHOLE,
        SLOW,
        (
            *roots(6, 10, 12, 14, 34, 38),
            *no_left_on_three(5, 7, 8, 9, 11, 13, 15, 17, 18, 33, 35, 36),
            Pause(49, 0.0, 2.4),
            Pause(51, 0.0, 1.9),
        ),
        25,
    ),
    Recipe(
        SONG,
        "Edda Falk - monday",
        NO_SOLO,
        STEADY,
        (*other_chord("Bm", 23, 45, 55), LEFT_OUT),
        26,
        "hands",
    ),
    Recipe(
        SONG,
        "Finn Garrow - kettle_lane",
        WHOLE,
        STEADY,
        (*roots(6, 10, 14, 38, 42), *under_d(22, 26)),
        27,
    ),
    Recipe(
        SONG,
        "Greta Holm - kettle lane",
        WHOLE,
        TYPICAL,
        (*roots(6, 10, 12, 14), Late(22, 2.0, "left", 150.0)),
        28,
    ),
    Recipe(
        SONG,
        "Hugo Ilves - kettle lane",
        (bars(1, 38), bars(37, 62), bars(64, 86)),
        ROUGH,
        (
            *other_chord("Em", 7, 13, 35, 41, 49, 50),
            *other_chord("Bm", 17, 23, 45, 55),
            *other_chord("Em", 9, 21, 24, 25, 33, 53, 56, 57, 60),
            *roots(6, 10, 12, 14, 19, 34, 40, 42, 47),
            *no_left_on_three(8, 11, 15, 18, 36, 39, 43, 44, 46, 51, 54),
            *no_and_of_three(5, 16, 22, 26, 37, 48, 52),
            Restart(38, 2.5, 2.1),
            BarsMissing(64, (63,)),
        ),
        29,
    ),
    Recipe(
        SONG,
        "Ines Jarosz - kettle lane",
        (bars(1, 16), bars(13, 63), bars(63, 86)),
        TYPICAL,
        (BarsExtra(13, (13, 14, 15, 16), "line"), ONE_TOO_MANY, *roots(6, 10)),
        30,
    ),
    Recipe(
        SONG,
        "Jonas Kerr - kettle lane",
        WHOLE,
        STEADY,
        (*under_d(16, 22, 26, 44, 54, 58), *other_chord("Bm", 23)),
        31,
        "hands",
    ),
    Recipe(
        SONG,
        "Kaya Lund - kettle lane",
        TWO_FOR_THREE,
        SLOW,
        (*under_d(16, 22, 26, 44), BarsMissing(64, (63,)), Pause(49, 0.0, 2.0), *roots(6, 10, 14)),
        32,
    ),
    Recipe("tallow_moon", "Leo Marsh - first try", (bars(1, 71),), TYPICAL, (), 33),
    Recipe(
        SONG,
        "Leo Marsh - second try",
        (bars(1, 26),),
        SLOW,
        (
            *other_chord("Em", 7, 9, 13, 21),
            *other_chord("Bm", 17, 23),
            *other_chord("G", 12, 19),
            *roots(6, 10, 12, 14, 19),
            *no_left_on_three(5, 7, 8, 9, 11, 13, 15, 16, 17, 18, 21, 22),
            *no_and_of_three(5, 6, 7, 8, 11, 13, 15, 18, 25),
            Pause(13, 0.0, 2.2),
            Pause(18, 0.0, 1.8),
            Pause(22, 0.0, 2.6),
        ),
        34,
    ),
)


def main() -> None:
    """Write every take of the class into `class/`."""
    folder = HERE / "class"
    folder.mkdir(exist_ok=True)
    for recipe in CLASS:
        take = perform(recipe, song(recipe.song)).transposed(TRANSPOSED.get(recipe.name, 0))
        content = to_midi(take, tracks=recipe.tracks)
        if recipe.name in CUT:
            content = content[: len(content) * 7 // 10]
        (folder / f"{recipe.name}.mid").write_bytes(content)
        print(f"{recipe.name}: {take.truth.bars[-1].end:.0f} s, {len(take.notes)} notes")


def song(name: str) -> BarGraph:
    """The graph of a demo chart."""
    chart = HERE.parent / "charts" / f"{name}.txt"
    return read_chart(chart.read_text(encoding="utf-8"), file=chart.name)


if __name__ == "__main__":
    main()
