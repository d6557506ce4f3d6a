"""How are the notes of a staff written for the library?

Notes, chords, rests and slashes one after another, small notes and signs around them, ties
between them. The words of a line are shared over its notes, since a chart does not say on
which note they fall.
"""

from collections.abc import Sequence
from fractions import Fraction
from importlib import import_module
from itertools import pairwise
from typing import Any

from evaluator.chart.model import NoteSign
from evaluator.notation.staff import Event
from evaluator.theory.keyboard import Pitch
from evaluator.theory.pitch import NoteName

SLASH_PITCH = "B4"
EXPRESSIONS: dict[NoteSign, str] = {
    "tr": "Trill",
    "turn": "Turn",
    "mord": "Mordent",
    "trem": "Tremolo",
    "roll": "ArpeggioMark",
    "hold": "Fermata",
}
"""The library's class for each sign behind a note."""
TIME_WORDS: dict[NoteSign, str] = {"rit": "rit.", "tempo": "a tempo"}


def m21() -> Any:
    """The library, whose classes are typed only in part."""
    return import_module("music21")


def m21_name(name: NoteName) -> str:
    """A note as the library writes it."""
    return name.text.replace("b", "-")


def write_notes(measure: Any, events: Sequence[Event], words: Sequence[str]) -> None:
    """Put what fills a bar into it, with its words."""
    written = []
    reached = Fraction(0)
    for event in events:
        if event.slash:
            one: Any = m21().note.Note(SLASH_PITCH)
            one.notehead = "slash"
        elif not event.pitches:
            one = m21().note.Rest()
        else:
            names = [_m21_pitch(pitch) for pitch in event.pitches]
            one = m21().note.Note(names[0]) if len(names) == 1 else m21().chord.Chord(names)
        one.quarterLength = event.quarters
        one.editorial.tied = event.tied
        for small in event.graces:
            measure.insert(reached, _small(small))
        measure.insert(reached, one)
        _write_around(measure, one, event, reached)
        reached += event.quarters
        for small in event.after:
            measure.insert(reached, _small(small))
        written.append(one)
    sung = [one for one in written if not one.isRest and not one.editorial.tied] or written
    for one, some in zip(sung, share(words, len(sung)), strict=True):
        if some:
            one.addLyric(" ".join(some), applyRaw=True)


def _m21_pitch(pitch: Pitch) -> str:
    return m21_name(pitch.name) + str(pitch.octave)


def _small(pitch: Pitch) -> Any:
    """A grace note."""
    one = m21().note.Note(_m21_pitch(pitch)).getGrace()
    one.editorial.tied = False
    return one


def _write_around(measure: Any, one: Any, event: Event, offset: Fraction) -> None:
    """The signs of ornament and time at a note."""
    for sign in event.signs:
        if sign in EXPRESSIONS:
            one.expressions.append(getattr(m21().expressions, EXPRESSIONS[sign])())
        elif sign == "short":
            one.articulations.append(m21().articulations.Staccato())
        else:
            measure.insert(offset, m21().expressions.TextExpression(TIME_WORDS[sign]))


def write_ties(part: Any) -> None:
    """Tie what is held to the note before it."""
    before: Any = None
    for one in part.recurse().notesAndRests:
        if "Harmony" in one.classes or one.duration.isGrace:
            continue
        if one.editorial.tied and before is not None and not before.isRest:
            before.tie = m21().tie.Tie("continue" if before.editorial.tied else "start")
            one.tie = m21().tie.Tie("stop")
        before = one


def share(words: Sequence[str], places: int) -> list[Sequence[str]]:
    """Words spread over so many places, in order, the first places first."""
    cuts = [-(-place * len(words) // places) for place in range(places + 1)]
    return [words[start:end] for start, end in pairwise(cuts)]
