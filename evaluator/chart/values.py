"""How are the small values of a chart written: meters, tempos, feels, counts, rules?

One function a value: text in, value out. What a value may be stands in the refusal,
so that a mistake always says what would be right.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from evaluator.chart.graph import Meter
from evaluator.chart.model import Count
from evaluator.errors import EvaluatorError
from evaluator.theory.symbol import ChordSymbol, ChordSymbolError, parse_chord

SLOWEST, FASTEST = 10, 500
"""Beats a minute: an eighth-note beat of a fast jig is near the upper end."""
MOST_BEATS = 32
UNITS = (1, 2, 4, 8, 16, 32)
STEEPEST = 4
"""Swing ratio. Drummers reach 3.5:1 at slow tempos (Friberg & Sundström 2002)."""

_METER = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
_NUMBER = re.compile(r"\d{1,4}(?:\.\d{1,3})?")
_ABOUT = re.compile(r"about\s+", re.I)
_SWING = re.compile(r"swing\s+(\d{1,2}(?:\.\d{1,3})?)\s*:\s*(\d{1,2}(?:\.\d{1,3})?)", re.I)
_COUNT = re.compile(r"x(\d{1,4})(?:([-–])(\d{1,4})|(\+))?", re.I)

T = TypeVar("T")

FREE = "free"
"""In the place of a pattern's name: any rhythm."""
NO_CHORD = frozenset({"n.c.", "n.c", "nc"})


def swing_text(swing: Fraction) -> str:
    """`2:1`, as a chart has it."""
    return f"{swing.numerator}:{swing.denominator}"


@dataclass(frozen=True, slots=True)
class SongTempo:
    """Beats of the meter per minute, and whether just that is asked for."""

    bpm: float
    stated: bool = True


class RefusedError(EvaluatorError):
    """A value that cannot stand; carries what to say and where in the value it went wrong."""

    def __init__(self, message: str, suggestion: str = "", offset: int = 0) -> None:
        super().__init__(message)
        self.message = message
        self.suggestion = suggestion
        self.offset = offset


def meter(text: str) -> Meter:
    """`3/4`: up to 32 beats of a whole note's usual parts."""
    found = _METER.fullmatch(text)
    if not found:
        raise RefusedError(f"`{text}` is not a meter", "write beats and note value: 4/4, 3/4, 6/8")
    beats, unit = int(found[1]), int(found[2])
    if not 1 <= beats <= MOST_BEATS:
        raise RefusedError(f"a meter has 1 to {MOST_BEATS} beats, not {beats}")
    if unit not in UNITS:
        raise RefusedError(
            f"there is no note value {unit}", "the lower number is one of 1, 2, 4, 8, 16, 32"
        )
    return Meter(beats, unit)


def tempo(text: str) -> float:
    """`96`: beats of the meter per minute."""
    if not _NUMBER.fullmatch(text):
        number = _NUMBER.match(text)
        raise RefusedError(
            f"`{text}` is not a tempo",
            f"write the number alone: {number[0]}" if number else "write beats per minute: 96",
        )
    value = float(text)
    if not SLOWEST <= value <= FASTEST:
        raise RefusedError(f"a tempo is {SLOWEST} to {FASTEST} beats per minute, not {text}")
    return value


def song_tempo(text: str) -> SongTempo:
    """`96`, or `about 96` where nobody asks for just that tempo."""
    found = _ABOUT.match(text)
    return SongTempo(tempo(text[found.end() :] if found else text), stated=found is None)


def feel(text: str) -> Fraction:
    """`straight` or `swing 2:1`: the long eighth in parts of the short one."""
    if text.casefold() == "straight":
        return Fraction(1)
    found = _SWING.fullmatch(text)
    if not found:
        raise RefusedError(f"`{text}` is not a feel", "write `straight`, or `swing 2:1`")
    long, short = Fraction(found[1]), Fraction(found[2])
    if not short or not 1 <= long / short <= STEEPEST:
        raise RefusedError(
            f"swing goes from 1:1 to {STEEPEST}:1, not {found[1]}:{found[2]}",
            "the long eighth comes first, as in swing 2:1",
        )
    return long / short


def count(text: str) -> Count:
    """`x4`, `x2-4`, `x2+`."""
    found = _COUNT.fullmatch(text)
    if not found:
        raise RefusedError(
            f"`{text}` is not a count", "write x4, x2-4 (two to four times) or x2+ (two or more)"
        )
    low = int(found[1])
    high = None if found[4] else int(found[3] or low)
    if low == 0:
        raise RefusedError(
            "a line cannot be played zero times", "a section that may be left out is `optional`"
        )
    if high is not None and high < low:
        raise RefusedError(
            f"`{text}` counts downwards", f"write the smaller number first: x{high}-{low}"
        )
    return Count(low, high)


def chord(text: str) -> ChordSymbol:
    """A chord symbol, with what the theory says of one that is none."""
    try:
        return parse_chord(text)
    except ChordSymbolError as error:
        hint = f"did you mean `{error.suggestion}`?" if error.suggestion else ""
        raise RefusedError(_as_clause(error), hint, error.column) from error


def from_theory(parse: Callable[[str], T], text: str, remedy: str) -> T:
    """A key or a note; the theory's refusal becomes one with a remedy."""
    try:
        return parse(text)
    except ValueError as error:
        raise RefusedError(_as_clause(error), remedy) from error


def is_count(text: str) -> bool:
    """Whether a sign is, or tries to be, a count."""
    return bool(re.match(r"x\d", text, re.I))


def _as_clause(error: Exception) -> str:
    """The theory's sentence in the form of the chart's own: no full stop."""
    return str(error).rstrip(".")
