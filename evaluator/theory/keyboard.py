"""Which key of the piano is a written note?

Notes with their octave as they are named in scientific pitch notation: C4 is middle C,
the octave changes between B and C, and an accidental belongs to the note before the
octave is counted (Cb4 is the B below middle C). Keys are MIDI key numbers, 60 middle C;
a piano has A0 (21) to C8 (108).
"""

import re
from dataclasses import dataclass
from functools import lru_cache

from evaluator.errors import EvaluatorError
from evaluator.theory.pitch import NATURAL_PITCH_CLASSES, NoteName, note_text, parse_note

LOWEST_KEY, HIGHEST_KEY = 21, 108

_PITCH = re.compile(r"([A-G](?:##?|bb?)?)(\d)")
_ACCIDENTAL_SIGNS = str.maketrans({"♯": "#", "♭": "b"})


class OffTheKeyboardError(EvaluatorError):
    """A note that is written well and that no piano has."""


@dataclass(frozen=True, slots=True)
class Pitch:
    """A note in its octave, as it is spelt."""

    name: NoteName
    octave: int

    @property
    def key(self) -> int:
        """MIDI key number."""
        natural = NATURAL_PITCH_CLASSES[self.name.letter]
        return 12 * (self.octave + 1) + natural + self.name.alter

    @property
    def text(self) -> str:
        """`F#4`."""
        return f"{self.name.text}{self.octave}"


@lru_cache(maxsize=512)
def parse_pitch(text: str) -> Pitch:
    """Read a note with its octave: `E4`, `Bb2`, `F♯5`.

    Raises:
        OffTheKeyboardError: the note is below A0 or above C8.
        ValueError: the text is anything else.
    """
    match = _PITCH.fullmatch(text.translate(_ACCIDENTAL_SIGNS))
    if match is None:
        raise ValueError(f"{text!r} is not a note with its octave")
    pitch = Pitch(parse_note(match[1]), int(match[2]))
    if not LOWEST_KEY <= pitch.key <= HIGHEST_KEY:
        raise OffTheKeyboardError(f"{text!r} is not on the piano, which goes from A0 to C8")
    return pitch


def key_text(key: int, *, flats: bool) -> str:
    """What the note of a MIDI key is called: 61 is `C#4`, or `Db4` with flats."""
    return f"{note_text(key, flats=flats)}{key // 12 - 1}"
