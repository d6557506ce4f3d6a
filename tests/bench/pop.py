"""Real accompaniments with annotated bars and chords, as charts and takes.

Reads a folder of `NNN.mid` / `NNN.json` pairs laid out like a part of POP909 (Wang et
al., ISMIR 2020, MIT licence): per bar its start, its beats in seconds and a chord label
per beat in the syntax of Harte et al. (ISMIR 2005). The folder is named on the command
line and is not part of the project.
"""

import json
import zlib
from dataclasses import dataclass, replace
from pathlib import Path

from tests.bench.dice import Dice
from tests.bench.patterns import grid, pattern

FIGURES = {
    "maj": "", "min": "m", "7": "7", "maj7": "maj7", "min7": "m7", "maj6": "6", "min6": "m6",
    "maj(9)": "add9", "maj(2)": "add9", "min(9)": "madd9", "maj9": "maj9", "min9": "m9", "9": "9",
    "maj6(9)": "69", "maj6(7)": "maj7", "maj6(b7)": "7", "maj9(13)": "maj9", "9(13)": "9",
    "sus4": "sus4", "sus2": "sus2", "sus4(b7)": "7sus4", "sus4(b7,9)": "7sus4", "dim": "dim",
    "hdim7": "m7b5", "dim7": "dim7", "aug": "aug", "aug(b7)": "7#5", "min7(11)": "m7",
    "min11": "m11", "11": "11", "min(11)": "m", "maj7(2)": "maj7", "7(4)": "7", "min(6)": "m6",
}  # fmt: skip
"""Harte shorthand to the chart's figure; rare added degrees fall to the nearest figure."""

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
DEGREES = {"1": 0, "2": 2, "3": 4, "4": 5, "5": 7, "6": 9, "7": 11, "9": 14}
NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def figure(label: str) -> str:
    """A chart's chord sign for a Harte label: `A:maj/3` -> `A/C#`."""
    if label == "N":
        return "N.C."
    root, _, rest = label.partition(":")
    quality, _, degree = rest.partition("/")
    sign = root + FIGURES[quality]
    if not degree:
        return sign
    pc = LETTERS[root[0]] + root.count("#") - root.count("b")
    pc += DEGREES[degree.lstrip("b#")] + degree.count("#") - degree.count("b")
    return f"{sign}/{NAMES[pc % 12]}"


def bar_text(chords: list[str]) -> str:
    """The signs of one bar, a slash for every further beat."""
    signs = [figure(label) for label in chords]
    if all(sign == signs[0] for sign in signs):
        return signs[0]
    return " ".join(
        "/" if place and sign == signs[place - 1] else sign for place, sign in enumerate(signs)
    )


@dataclass(frozen=True)
class Song:
    """One annotated accompaniment."""

    name: str
    meter: str
    starts: tuple[float, ...]
    beats: tuple[tuple[float, ...], ...]
    end: float
    bars: tuple[str, ...]
    """Each bar as chart text."""
    raw: bytes
    pattern: tuple[str, ...] = ()
    """Lines of a pattern in the chart, which the pianist knows nothing of."""

    def with_a_pattern(self, number: int) -> "Song":
        """The song with some pattern in its chart; the same for the same name and number."""
        dice = Dice(zlib.crc32(self.name.encode()), number)
        beats, _, unit = self.meter.partition("/")
        columns = grid(dice, (int(beats), int(unit)), self.tempo, swung=False)
        return replace(self, pattern=("", *pattern(dice, "drawn", columns)))

    @property
    def tempo(self) -> int:
        """Beats a minute, rounded to ten."""
        gaps = [b - a for a, b in zip(self.starts, self.starts[1:], strict=False)]
        beat = sorted(gaps)[len(gaps) // 2] / len(self.beats[0])
        return round(6 / beat) * 10

    def chart(self, bars: tuple[str, ...] | None = None) -> str:
        """Chart text, four bars a line, at the song's own tempo rounded to ten."""
        bars = self.bars if bars is None else bars
        lines = ["| " + " | ".join(bars[i : i + 4]) + " |" for i in range(0, len(bars), 4)]
        head = f"title: Song {self.name}\nmeter: {self.meter}\ntempo: {self.tempo}\n"
        head += "".join(f"{line}\n" for line in self.pattern)
        return head + "\n[Song]\n" + "\n".join(lines) + "\n"


def load(folder: Path, names: tuple[str, ...] | None = None) -> list[Song]:
    """The songs of a folder, by name."""
    songs = []
    for path in sorted(folder.glob("*.json")):
        if names is not None and path.stem not in names:
            continue
        found = json.loads(path.read_text(encoding="utf-8"))
        songs.append(
            Song(
                name=path.stem,
                meter=found["meter"],
                starts=tuple(bar["start"] for bar in found["bars"]),
                beats=tuple(tuple(bar["beats"]) for bar in found["bars"]),
                end=found["end"],
                bars=tuple(bar_text(bar["chords"]) for bar in found["bars"]),
                raw=path.with_suffix(".mid").read_bytes(),
            )
        )
    return songs
