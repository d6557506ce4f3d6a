"""Which part of a score is read for what?

A piano's two staves give the hands, or two parts that are named as its hands; else the chord
symbols of a lead sheet are the chart, else what all parts sound together. Parts for
transposing instruments are read as they sound. What stands beside the hands is said.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

from evaluator.chart.graph import Hand
from evaluator.notation.score import ScoreError

TOGETHER: Final = (
    "the chords were found in the notes of {parts} parts, at most two a bar: look them over"
)
SOUNDING: Final = "{name} is written as it sounds, not as it is printed"
_KEYBOARD: Final = re.compile(
    r"\b(piano(forte)?|pno|klavier|keyboards?|keys|harpsichord|organ|[rl]\.?h|(right|left) hand)\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What of a score is read for what."""

    staves: Mapping[Hand, Any]
    """Of the hands, whose notes are written."""
    voices: Sequence[Any]
    """The parts in whose notes the chords are found together, from the top."""
    chords: Any
    """The part with chord symbols; None without."""
    sung: Any
    """The part with the words; None without."""


def parts_of(parsed: Any) -> tuple[list[Any], list[Any]]:
    """The parts of a score, or the one that it is, at the pitch at which they sound; and those
    of them that are printed at another.

    Raises:
        ScoreError: a score without parts.
    """
    alone = parsed.isStream and list(parsed.getElementsByClass("Measure"))
    parts = [parsed] if alone else list(getattr(parsed, "parts", ()))
    if not parts:
        raise ScoreError("There is no part in this score.")
    moved = []
    for part in parts:
        played = part.recurse().getElementsByClass("Instrument")
        steps = [one.transposition for one in played if one.transposition is not None]
        if steps:
            part.toSoundingPitch(inPlace=True)
        # An octave changes no name of a note.
        moved += [part] if any(step.chromatic.mod12 for step in steps) else []
    return parts, moved


def choose(parts: Sequence[Any]) -> Chosen:
    """A piano's two staves, else the chord symbols, else what all parts sound together."""
    # A symbol may count as false, having no tones: N.C.
    harmonic = [part for part in parts if len(part.recurse().getElementsByClass("Harmony"))]
    singing = [part for part in parts if any(n.lyrics for n in part.recurse().notesAndRests)]
    chords, sung = next(iter(harmonic), None), next(iter(singing), None)
    staves = _staves(parts)
    if len(staves) < 2 and chords is None and len(parts) <= 2:
        staves = list(parts)
    if len(staves) >= 2:
        return Chosen({"right": staves[0], "left": staves[1]}, (), chords, sung)
    if chords is not None:
        return Chosen({}, (), chords, sung)
    if len(parts) == 1:
        return Chosen({"right": parts[0]}, (), None, sung)
    return Chosen({}, parts, None, sung)


def _staves(parts: Sequence[Any]) -> list[Any]:
    """The staves of the piano, or else of the first part that has two."""
    staff_parts = [part for part in parts if "PartStaff" in part.classes]
    groups = [list(staves) for _, staves in groupby(staff_parts, key=_whole)]
    groups = [staves for staves in groups if len(staves) > 1]
    named = [part for part in parts if "PartStaff" not in part.classes and _is_keyboard(part)]
    groups += [named] if len(named) == 2 else []
    return next((one for one in groups if _is_keyboard(one[0])), next(iter(groups), []))


def _whole(staff: Any) -> str:
    """The same for the staves of one part."""
    return str(staff.id).rpartition("-Staff")[0]


def _name(part: Any) -> str:
    return " ".join(str(getattr(part, "partName", None) or "").split())


def _is_keyboard(part: Any) -> bool:
    return bool(_KEYBOARD.search(_name(part)))


def sounding(moved: Sequence[Any], chosen: Chosen) -> Iterator[str]:
    """What is said of parts that are read and were printed at another pitch."""
    for part in moved:
        if any(part is one for one in (*chosen.staves.values(), *chosen.voices, chosen.chords)):
            yield SOUNDING.format(name=_name(part) or "a part for a transposing instrument")


def beside(parts: Sequence[Any], chosen: Chosen) -> Iterator[str]:
    """What is said of parts whose notes are left out, as the hands have their own."""
    staves = list(chosen.staves.values())
    taken = list(dict.fromkeys(filter(None, map(_name, staves))))
    left: dict[str, int] = {}
    for number, part in enumerate(parts, 1):
        if any(part is staff for staff in staves):
            continue
        notes = [note for note in part.recurse().notes if "Harmony" not in note.classes]
        name = _name(part) or f"part {number}"
        name = f"another staff of {name}" if name in taken else name
        left[name] = left.get(name, 0) + sum(len(getattr(one, "pitches", ())) or 1 for one in notes)
    said = [f"{name} ({count})" for name, count in left.items() if count]
    if said:
        whose = " and ".join(taken) or "the first two staves"
        yield f"the notes are those of {whose}; left out, with the number of notes: {_all(said)}"


def _all(said: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(said[:-1]), said[-1])))
