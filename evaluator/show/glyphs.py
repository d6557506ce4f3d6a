"""With which signs is a bar marked, and what if the terminal cannot write them?

Every mark has a shape of its own, so that nothing depends on colour: a diamond for the
chord (hollow when only a tone of it is missing), a wedge pointing down for the bass, a
note for the pattern, an empty box for an empty bar, the two strokes with which musicians
write a break. Terminals that write no UTF-8 get shapes made of ASCII.
"""

from dataclasses import dataclass, fields
from typing import Final
from unicodedata import normalize


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One sign a mark; the names are kinds of faults, findings and states of the report."""

    chord: str
    incomplete: str
    bass: str
    rhythm: str
    otherwise: str
    lost: str
    missing: str
    extra: str
    restart: str
    halt: str
    left_out: str
    not_reached: str
    slip: str
    times: str

    def of(self, kind: str) -> str:
        """The sign of a kind as the report names it: `break`, `left out`."""
        sign: str = getattr(self, NAMES.get(kind, kind))
        return sign


NAMES: Final = {"break": "halt", "left out": "left_out", "not reached": "not_reached"}

UNICODE: Final = Glyphs(
    chord="◆",
    incomplete="◇",
    bass="▼",
    rhythm="♪",
    otherwise="≈",
    lost="?",
    missing="□",
    extra="+",
    restart="«",
    halt="//",
    left_out="()",
    not_reached="…",
    slip="·",
    times="×",
)
ASCII: Final = Glyphs(
    chord="*",
    incomplete="o",
    bass="_",
    rhythm="~",
    otherwise="=",
    lost="?",
    missing="[]",
    extra="+",
    restart="<<",
    halt="//",
    left_out="()",
    not_reached="..",
    slip=".",
    times="x",
)

MEANINGS: Final = {
    "chord": "chord",
    "incomplete": "chord incomplete",
    "bass": "bass",
    "rhythm": "pattern",
    "otherwise": "in another rhythm",
    "missing": "bar missing",
    "extra": "bar too many",
    "restart": "restarted here",
    "break": "halt",
    "lost": "could not follow",
    "left out": "left out, as the chart allows",
    "not reached": "not reached",
}
"""The legend, in its order."""

_SPELLED: Final = {
    **{"♭": "b", "♯": "#", "♮": "", "°": "dim", "ø": "m7b5", "Ø": "m7b5", "Δ": "maj7", "△": "maj7"},
    **{"–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "…": "...", "×": "x", "−": "-"},
}
"""How musicians' and printers' signs are written where they cannot be."""

ONE_CELL: Final = frozenset("".join(getattr(UNICODE, f.name) for f in fields(Glyphs)) + "♭♯Δ—’“”")


def glyphs_for(encoding: str) -> Glyphs:
    """The shapes if all of them can be written in an encoding, else those in ASCII."""
    signs = "".join(getattr(UNICODE, field.name) for field in fields(Glyphs))
    return UNICODE if _writes(signs, encoding) else ASCII


def fitted(text: str, encoding: str) -> str:
    """A text in signs that an encoding has; `?` stands where nothing comes near."""
    if text.isascii() or _writes(text, encoding):
        return text
    return "".join(sign if _writes(sign, encoding) else _spelled(sign, encoding) for sign in text)


def _spelled(sign: str, encoding: str) -> str:
    if sign in _SPELLED:
        return _SPELLED[sign]
    letters = normalize("NFKD", sign)[:1]
    return letters if _writes(letters, encoding) else "?"


def _writes(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True
