"""What stands around a written note: grace notes, and the signs behind it?

    {D5}E5        a grace note before E5; {D5,F5}E5 two of them
    E5{D5,E5}     grace notes behind it, as at the end of a trill
    E5~tr         a sign behind the note; C4+E4~roll~hold two behind a chord

Graces and signs of ornament may be played in any usual way, or be left out.
"""

import re
from dataclasses import dataclass
from typing import Final, get_args

from evaluator.chart.mistakes import did_you_mean
from evaluator.chart.model import NoteSign
from evaluator.chart.values import RefusedError

SIGNS: Final[dict[NoteSign, str]] = {
    "tr": "a trill",
    "turn": "a turn",
    "mord": "a mordent, upward or downward",
    "trem": "a tremolo",
    "roll": "a rolled chord (arpeggio)",
    "hold": "a fermata",
    "short": "staccato",
    "rit": "from here on the time may slacken",
    "tempo": "the end of that",
}
"""What each sign behind a note says. Between `rit` and `tempo`, or the end of the section,
the time is the player's."""
MOST_GRACES: Final = 24

_PART = re.compile(r"(?:\{([^{}]*)\})?([^{}~]*)((?:~[^{}~]*)*)(?:\{([^{}]*)\})?")
_COMMA = re.compile(r",(?![^{}]*\})")


@dataclass(frozen=True, slots=True)
class Adorned:
    """One part of a sign, taken apart; offsets in its text."""

    notes: str
    offset: int
    graces: str
    graces_offset: int
    after: str
    after_offset: int
    signs: tuple[NoteSign, ...]


def parts(sign: str) -> list[str]:
    """What stands between the commas of a sign; those within braces are left alone."""
    return _COMMA.split(sign)


def take_apart(text: str, offset: int) -> Adorned:
    """A part of a sign, `offset` being where it stands in its cell.

    Raises:
        RefusedError: with its offset in the cell.
    """
    found = _PART.fullmatch(text)
    if found is None:
        raise RefusedError(
            f"the braces of `{text}` cannot be read", "write grace notes as {D5,F5}E5", offset
        )
    signs = []
    at = offset + found.start(3)
    for word in found[3].split("~")[1:]:
        if word not in SIGNS:
            near = did_you_mean(word, get_args(NoteSign))
            hint = near or f"the signs are ~{', ~'.join(SIGNS)}"
            raise RefusedError(f"`~{word}` is not a sign of a note", hint, at)
        if word in signs:
            raise RefusedError(f"`~{word}` is given twice after this note", "", at)
        signs.append(word)
        at += 1 + len(word)
    if not found[2] and (found[1] is not None or signs):
        raise RefusedError("a note is missing here", "write the note after its grace notes", offset)
    return Adorned(
        notes=found[2],
        offset=offset + found.start(2),
        graces=found[1] or "",
        graces_offset=offset + found.start(1),
        after=found[4] or "",
        after_offset=offset + found.start(4),
        signs=tuple(signs),
    )
