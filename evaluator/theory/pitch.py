"""What is a note called, and how does a key spell it?

Pitch classes are integers 0 (C) to 11 (B); a `NoteName` keeps the spelling as well, so
that a chart which says Bb is answered with Bb. Keys are placed on the circle of fifths:
those left of C major and A minor spell with flats.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

Mode = Literal["major", "minor"]

LETTERS = "CDEFGAB"
NATURAL_PITCH_CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

_SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_FIFTHS_ABOVE_C = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_MINOR_FIFTHS = -3  # A minor has the signature of C major, three fifths below A major.

_ACCIDENTAL_SIGNS = str.maketrans({"♯": "#", "♭": "b"})
_NOTE = re.compile(r"([A-G])(##?|bb?)?")
_KEY = re.compile(r"([A-G](?:#|b)?)(?:\s*(major|maj|minor|min|m))?")
_MODES: dict[str | None, Mode] = {
    None: "major",
    "major": "major",
    "maj": "major",
    "minor": "minor",
    "min": "minor",
    "m": "minor",
}


@dataclass(frozen=True, slots=True)
class NoteName:
    """A note without its octave, as it is spelt: C# and Db are two names of one key."""

    letter: str
    """"A" to "G"."""
    alter: int = 0
    """Semitones up (sharps) or down (flats) from the natural note, -2..2."""

    def __post_init__(self) -> None:
        if self.letter not in NATURAL_PITCH_CLASSES:
            raise ValueError(f"note letter is A to G, not {self.letter!r}")
        if not -2 <= self.alter <= 2:
            raise ValueError(f"a note has at most two sharps or flats, not {self.alter}")

    @property
    def pc(self) -> int:
        """Pitch class, 0 (C) to 11 (B)."""
        return (NATURAL_PITCH_CLASSES[self.letter] + self.alter) % 12

    @property
    def text(self) -> str:
        """Spelling in plain letters: "F#", "Bb", "Ebb"."""
        return self.letter + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)

    def above(self, degree: int, semitones: int) -> "NoteName | None":
        """The note on a degree above this one: the third (3) of D at 4 semitones is F#.

        None where the spelling would need more than one accidental.
        """
        letter = LETTERS[(LETTERS.index(self.letter) + degree - 1) % 7]
        alter = (self.pc + semitones - NATURAL_PITCH_CLASSES[letter] + 6) % 12 - 6
        return NoteName(letter, alter) if abs(alter) <= 1 else None


@lru_cache(maxsize=256)
def parse_note(text: str) -> NoteName:
    """Read a note name: letter A-G and up to two of `#`, `b`, `♯`, `♭`.

    Raises:
        ValueError: the text is anything else.
    """
    match = _NOTE.fullmatch(text.translate(_ACCIDENTAL_SIGNS))
    if match is None:
        raise ValueError(f"{text!r} is not a note name")
    letter, signs = match.group(1), match.group(2) or ""
    return NoteName(letter, signs.count("#") - signs.count("b"))


def note_text(pc: int, *, flats: bool) -> str:
    """The usual name of a pitch class 0..11: black keys with flats or with sharps."""
    return (_FLAT_NAMES if flats else _SHARP_NAMES)[pc % 12]


@dataclass(frozen=True, slots=True)
class Key:
    """The key of a chart, as far as spelling goes."""

    tonic: NoteName
    mode: Mode

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the signature."""
        above_c = _FIFTHS_ABOVE_C[self.tonic.letter] + 7 * self.tonic.alter
        return above_c + (_MINOR_FIFTHS if self.mode == "minor" else 0)

    @property
    def flats(self) -> bool:
        """Black keys are spelt with flats."""
        return self.fifths < 0


def parse_key(text: str) -> Key:
    """Read a key: `D major`, `E minor`, `Bb`, `F#m`; major where no mode is said.

    Raises:
        ValueError: the text is anything else.
    """
    match = _KEY.fullmatch(text.strip().translate(_ACCIDENTAL_SIGNS))
    if match is None:
        raise ValueError(f"{text!r} is not a key such as D major or E minor")
    return Key(parse_note(match.group(1)), _MODES[match.group(2)])
