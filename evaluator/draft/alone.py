"""What chart does a take make where there is no sheet?

The chords are recognised, the key is theirs, and the sheet that a listener would have typed
is made of them: lines of four bars, sections from what comes again. Everything else is then
heard as with a sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from evaluator.draft.align import Alignment, align_again
from evaluator.draft.compose import compose
from evaluator.draft.heard import Habits, fits
from evaluator.draft.key import key_of, with_fewer_signs
from evaluator.draft.metre import Counted, count_through
from evaluator.draft.model import Draft
from evaluator.draft.plain import Asked
from evaluator.draft.played import struck_enough
from evaluator.draft.recognise import Vocabulary, recognise, recognise_again, vocabulary
from evaluator.draft.roles import FirstWay, role_habits
from evaluator.draft.route import Route, sheet_route
from evaluator.draft.sections import find_sections
from evaluator.draft.sheet import Sheet, SheetLine, SheetSection
from evaluator.take.model import Take
from evaluator.take.strike import Strike
from evaluator.theory.pitch import Key
from evaluator.theory.symbol import ChordSymbol

LINE = 4
"""Bars of a line."""
_SAID = (
    "no sheet was given: the chords are named from what was struck, and the sections are "
    "what comes again"
)


@dataclass(frozen=True, slots=True, eq=False)
class Recognised:
    """A take with the chords that it seems to have."""

    counted: Counted
    chords: tuple[ChordSymbol, ...]
    """For each beat."""
    key: Key | None


def hear_chords(struck: Sequence[Strike], asked: Asked) -> Recognised:
    """The chords of a take by beat, in the key that they make."""
    words = vocabulary()
    counted = count_through(struck, asked, lambda heard, bar: recognise(heard, words, bar))
    key = key_of(*_named(words, counted.way))
    if key is not None:  # the chords are not spelt by anybody yet
        key = with_fewer_signs(key)
        words = words.in_key(key)
    way = recognise(counted.heard, words, counted.meter.beats)
    way = recognise_again(counted.heard, words, counted.meter.beats, way)
    counted = replace(counted, way=way)
    counted = _with_short_bars(counted, words)
    return Recognised(counted, tuple(_named(words, counted.way)[0]), key)


def _with_short_bars(counted: Counted, words: Vocabulary) -> Counted:
    """The same chords in their order, in bars that may be short: as on a sheet of one line."""
    found, bar = counted.way.places, counted.meter.beats
    new = np.append(True, np.diff(found) != 0)
    route = Route(tuple(found[new].tolist()), (0,), (0,), (0,))
    way = replace(counted.way, places=np.cumsum(new) - 1)
    first = FirstWay(found, np.zeros_like(found), counted.way.in_bar)
    usual = role_habits(counted.heard, words.chords, first, Habits(), (1, bar))
    likely = fits(counted.heard, words.chords)
    way = align_again(likely, route, way, usual, as_elsewhere=False)
    return replace(counted, way=replace(way, places=np.array(route.chords)[way.places]))


def _named(words: Vocabulary, way: Alignment) -> tuple[list[ChordSymbol], list[float]]:
    chords = [words.chords[place] for place in way.places.tolist()]
    return chords, [1.0] * len(chords)


def draft_take(take: Take, asked: Asked, *, name: str) -> Draft:
    """A draft of a take alone; `name` is its title.

    Raises:
        SheetError: for a take that is too short.
    """
    struck = struck_enough(take)
    heard = hear_chords(struck, asked)
    sheet, places = _typed(heard, name)
    way = replace(heard.counted.way, places=np.array(places))
    counted = replace(heard.counted, way=way)
    return compose(sheet, sheet_route(sheet), counted, (take, struck))


def _typed(heard: Recognised, name: str) -> tuple[Sheet, list[int]]:
    """The sheet of what was recognised, and the place in it of every beat."""
    starts = [0, *(np.flatnonzero(heard.counted.way.in_bar[1:] == 0) + 1).tolist()]
    ends = [*starts[1:], len(heard.chords)]
    bars = [heard.chords[start:end] for start, end in zip(starts, ends, strict=True)]
    sections = []
    places: list[int] = []
    place = -1
    for section in find_sections(bars, LINE):
        lines = []
        for start in range(section.first, section.last, LINE):
            beats = [
                chord for bar in bars[start : min(start + LINE, section.last)] for chord in bar
            ]
            new = [not n or chord != beats[n - 1] for n, chord in enumerate(beats)]
            lines.append(
                SheetLine(tuple((c,) for c, begins in zip(beats, new, strict=True) if begins))
            )
            for begins in new:
                place += begins
                places.append(place)
        sections.append(SheetSection(section.name, tuple(lines)))
    return Sheet(name, tuple(sections), key=heard.key, remarks=(_SAID,)), places
