"""Which chords does an invented song use, and how are they written?

Degrees of the key, put together as popular songs, folk songs and blues put them together:
loops of four chords, cadences, a few borrowed chords. Common practice, no source.
"""

from dataclasses import dataclass
from typing import Literal

from evaluator.theory.pitch import Key, NoteName, note_text, parse_key
from tests.bench.dice import Dice

Style = Literal["folk", "pop", "soul", "blues"]

STYLES: dict[Style, float] = {"folk": 0.3, "pop": 0.4, "soul": 0.18, "blues": 0.12}

MAJOR_KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
MINOR_KEYS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")

# Roman numeral: degree of the scale, semitones above the tonic, quality of the triad.
NUMERALS = {
    "I": (1, 0, ""),
    "i": (1, 0, "m"),
    "II": (2, 2, ""),
    "ii": (2, 2, "m"),
    "ii°": (2, 2, "m7b5"),
    "bIII": (3, 3, ""),
    "iii": (3, 4, "m"),
    "III": (3, 4, ""),
    "IV": (4, 5, ""),
    "iv": (4, 5, "m"),
    "V": (5, 7, ""),
    "v": (5, 7, "m"),
    "bVI": (6, 8, ""),
    "vi": (6, 9, "m"),
    "VI": (6, 9, ""),
    "bVII": (7, 10, ""),
}

# Four bars each. The last rows borrow from the minor key, or lean on another dominant.
_MAJOR_LOOPS = (
    "I V vi IV",
    "I vi IV V",
    "vi IV I V",
    "I IV I V",
    "I IV V I",
    "I I IV V",
    "I iii IV V",
    "ii V I I",
    "I ii IV I",
    "IV V iii vi",
    "I I I I",
    "I V I V",
    "IV I V vi",
    "I bVII IV I",
    "IV iv I I",
    "I III vi IV",
    "vi II IV I",
)
_MINOR_LOOPS = (
    "i bVI bIII bVII",
    "i iv i V",
    "i bVII bVI V",
    "i bVII bVI bVII",
    "iv i V i",
    "i v bVI bVII",
    "i i iv v",
    "bVI bVII i i",
    "i ii° V i",
    "i IV i IV",
    "i i i i",
)
BLUES = "I I I I IV IV I I V IV I V"
_HOME = {"major": "I", "minor": "i"}

# Quality of the triad: what a style makes of it, and how often.
_DRESS: dict[Style, dict[str, dict[str, float]]] = {
    "folk": {"": {"": 12, "7": 1}, "m": {"m": 8, "m7": 1}},
    "pop": {"": {"": 10, "add9": 1.2, "maj7": 1, "sus4": 0.5, "sus2": 0.5}, "m": {"m": 5, "m7": 4}},
    "soul": {"": {"": 2, "maj7": 4, "6": 1.5, "maj9": 0.7}, "m": {"m7": 6, "m9": 1.5, "m": 1}},
    "blues": {"": {"7": 10, "9": 1.5, "": 1}, "m": {"m7": 6, "m": 3}},
}
_DOMINANT: dict[Style, dict[str, float]] = {
    "folk": {"": 4, "7": 3},
    "pop": {"": 7, "7": 1, "sus4": 1, "7sus4": 0.5},
    "soul": {"7": 4, "9": 2, "13": 0.7, "7sus4": 1.5},
    "blues": {"7": 8, "9": 1},
}


@dataclass(frozen=True, slots=True)
class Palette:
    """The chords of one song: each numeral is written alike every time it comes."""

    key: Key
    style: Style
    names: dict[str, str]

    @property
    def home(self) -> str:
        """Numeral of the tonic."""
        return _HOME[self.key.mode]

    def name(self, numeral: str) -> str:
        """The chord symbol of a numeral."""
        return self.names[numeral]

    def root(self, numeral: str) -> NoteName | None:
        """The root as the key spells it; None where that needs a double accidental."""
        return self.key.tonic.above(*NUMERALS[numeral][:2])

    def third(self, numeral: str) -> str | None:
        """Name of the chord's third, for a slash or a bass rule."""
        root, minor = self.root(numeral), NUMERALS[numeral][2].startswith("m")
        third = root.above(3, 3 if minor else 4) if root else None
        return third.text if third else None

    def fifth(self, numeral: str) -> str | None:
        """Name of the chord's fifth."""
        root = self.root(numeral)
        fifth = root.above(5, 7) if root and NUMERALS[numeral][2] != "m7b5" else None
        return fifth.text if fifth else None


def palette(dice: Dice) -> Palette:
    """A key, a style, and how the song writes each of its chords."""
    style = dice.weigh(STYLES)
    minor = dice.chance(0.28) and style != "blues"
    tonic = dice.pick(MINOR_KEYS if minor else MAJOR_KEYS)
    key = parse_key(f"{tonic} {'minor' if minor else 'major'}")
    return Palette(
        key, style, {numeral: _written(dice, key, style, numeral) for numeral in NUMERALS}
    )


def loop(dice: Dice, palette: Palette) -> list[str]:
    """Four numerals that go round."""
    return dice.pick(_MAJOR_LOOPS if palette.key.mode == "major" else _MINOR_LOOPS).split()


def _written(dice: Dice, key: Key, style: Style, numeral: str) -> str:
    degree, semitones, quality = NUMERALS[numeral]
    root = key.tonic.above(degree, semitones)
    name = root.text if root else note_text(key.tonic.pc + semitones, flats=key.flats)
    if numeral == "I" and style in ("folk", "pop"):
        return name
    if numeral == "V":
        return name + dice.weigh(_DOMINANT[style])
    return name + (dice.weigh(_DRESS[style][quality]) if quality in _DRESS[style] else quality)
