"""Which notes are written out for a hand under a line of bars?

Where a song needs exact notes, a row for a hand stands under a line of bars, one cell a
bar, in the manner of a pattern's rows:

    | C               | G7          |
      right | E4 . G4 C5,B4 | A4 G4 F4 D4 |
      left  | C3+G3 -       | G2 .        |

The signs of a cell share its bar evenly, as chords do:
    E4          that note; C4 is middle C
    {D4}E4~tr   with what stands around it (see `evaluator.chart.adorned`)
    C4+E4+G4    struck together
    C5,B4       one after another within the sign's share; three make a triplet
    -  .        still held; nothing
    %           alone in its cell: the same as in the bar before
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import cast

from evaluator.chart.adorned import MOST_GRACES, parts, take_apart
from evaluator.chart.graph import HANDS, Hand
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes, did_you_mean, plural
from evaluator.chart.model import Struck, WrittenBar, WrittenHand
from evaluator.chart.patterns import MOST_COLUMNS
from evaluator.chart.values import RefusedError
from evaluator.theory.keyboard import OffTheKeyboardError, Pitch, parse_pitch

MOST_TOGETHER = 10
"""A hand has five fingers, and a thumb may take two keys; a score may put more on a staff."""
SILENT, HELD, AGAIN = ".", "-", "%"

_ROW = re.compile(r"\s*(\w+)\s*(?=\|)")
_LETTER = re.compile(r"([A-Ha-h])([#b♯♭]{0,2})(\d?)")


@dataclass(frozen=True, slots=True)
class _Cell:
    text: str
    column: int


def row_hand(text: str) -> str | None:
    """What stands before the first bar line of a row of notes, in small letters."""
    found = _ROW.match(text)
    return found[1].casefold() if found else None


def near_hand(word: str) -> str:
    """A question that offers the hand that a misspelt row may be meant for."""
    return did_you_mean(word, HANDS)


def read_row(
    line: TextLine, bars: Sequence[WrittenBar], mistakes: Mistakes
) -> tuple[WrittenBar, ...]:
    """The bars above with the notes of this row, which begins with `left` or `right`.

    A row that does not fit its bars is noted and left out; so is a cell with a mistake.
    """
    found = cast(re.Match[str], _ROW.match(line.text))
    hand = cast(Hand, found[1].casefold())
    cells = _cells(line, found.end(), mistakes)
    if cells is None:
        return tuple(bars)
    if any(written.hand == hand for bar in bars for written in bar.hands):
        mistakes.add(line.number, line.column(), f"the row `{hand}` is given twice for these bars")
        return tuple(bars)
    if len(cells) != len(bars):
        mistakes.add(
            line.number,
            line.column(),
            f"the row `{hand}` has {plural(len(cells), 'bar')}, the line above it has {len(bars)}",
            "write one cell for every bar: a dot where the hand has nothing to play",
        )
        return tuple(bars)
    reader = _CellReader(hand, line.number, mistakes)
    written = [reader.read(cell) for cell in cells]
    return tuple(
        replace(bar, hands=(*bar.hands, notes)) if notes else bar
        for bar, notes in zip(bars, written, strict=True)
    )


def _cells(line: TextLine, offset: int, mistakes: Mistakes) -> list[_Cell] | None:
    cuts = [place for place, sign in enumerate(line.text) if sign == "|" and place >= offset]
    rest = line.text[cuts[-1] + 1 :].strip()
    if rest or len(cuts) < 2:
        column = line.column(cuts[-1] + 1) if rest else len(line.text)
        counted = re.fullmatch(r"x\d\S*", rest, re.I)
        hint = "a count belongs after the line of bars" if counted else "end the row with |"
        mistakes.add(line.number, column, "the row is not closed", hint)
        return None
    cells = []
    for start, end in pairwise(cuts):
        text = line.text[start + 1 : end]
        column = start + 2 + len(text) - len(text.lstrip())
        if not text.strip():
            hint = "write a dot where the hand has nothing to play"
            mistakes.add(line.number, start + 2, "this bar of the row is empty", hint)
            return None
        cells.append(_Cell(text.strip(), column))
    return cells


class _CellReader:
    """Reads the cells of one row, in order; knows what `%` stands for."""

    def __init__(self, hand: Hand, line: int, mistakes: Mistakes) -> None:
        self._hand = hand
        self._line = line
        self._mistakes = mistakes
        self._before: WrittenHand | None = None

    def read(self, cell: _Cell) -> WrittenHand | None:
        """The notes of a cell, None where it has a mistake."""
        try:
            if cell.text == AGAIN:
                self._before = self._again(cell)
            else:
                self._before = self._notes(cell)
        except RefusedError as refused:
            column = cell.column + refused.offset
            self._mistakes.add(self._line, column, refused.message, refused.suggestion)
            return None
        return self._before

    def _again(self, cell: _Cell) -> WrittenHand:
        if self._before is None:
            raise RefusedError("% has no bar before it in this row", "write the notes out")
        return replace(self._before, text=AGAIN, line=self._line, column=cell.column)

    def _notes(self, cell: _Cell) -> WrittenHand:
        signs = list(re.finditer(r"\S+", cell.text))
        if len(signs) > MOST_COLUMNS:
            raise RefusedError(f"a bar has at most {MOST_COLUMNS} columns")
        struck: list[Struck] = []
        sounding = True
        held = Fraction(0)
        for place, sign in enumerate(signs):
            several = parts(sign[0])
            share = Fraction(1, len(signs) * len(several))
            offset = sign.start()
            for step, part in enumerate(several):
                if part == HELD and sounding and struck:
                    struck[-1] = replace(struck[-1], share=struck[-1].share + share)
                elif part == HELD and sounding:
                    held += share
                elif part == HELD:
                    raise RefusedError("there is nothing to hold here", "", offset)
                elif part == SILENT:
                    sounding = False
                else:
                    at = Fraction(place, len(signs)) + step * share
                    struck.append(_struck(part, offset, at, share))
                    sounding = True
                offset += len(part) + 1
        return WrittenHand(
            hand=self._hand,
            struck=tuple(struck),
            held=held,
            columns=len(signs),
            text=" ".join(sign[0] for sign in signs),
            line=self._line,
            column=cell.column,
        )


def _struck(text: str, offset: int, place: Fraction, share: Fraction) -> Struck:
    """Notes struck together with what stands around them.

    Raises:
        RefusedError: with its offset in the cell.
    """
    found = take_apart(text, offset)
    return Struck(
        place,
        share,
        _together(found.notes, found.offset),
        graces=_graces(found.graces, found.graces_offset),
        after=_graces(found.after, found.after_offset),
        signs=found.signs,
    )


def _graces(text: str, offset: int) -> tuple[Pitch, ...]:
    if not text:
        return ()
    notes = text.split(",")
    if len(notes) > MOST_GRACES:
        raise RefusedError(f"at most {MOST_GRACES} grace notes stand together", "", offset)
    found = []
    for note in notes:
        found.append(_note(note, offset))
        offset += len(note) + 1
    return tuple(found)


def _note(text: str, offset: int) -> Pitch:
    try:
        return parse_pitch(text)
    except OffTheKeyboardError as error:
        raise RefusedError(str(error).replace("'", "`"), "", offset) from None
    except ValueError:
        raise RefusedError(*_not_a_note(text), offset) from None


def _together(text: str, offset: int) -> tuple[Pitch, ...]:
    """The notes of one strike, from the lowest up.

    Raises:
        RefusedError: with its offset in the cell.
    """
    pitches: dict[int, Pitch] = {}
    for note in text.split("+"):
        pitch = _note(note, offset)
        if pitch.key in pitches:
            raise RefusedError(f"`{note}` is written twice in this chord", "", offset)
        pitches[pitch.key] = pitch
        offset += len(note) + 1
    if len(pitches) > MOST_TOGETHER:
        raise RefusedError(f"a hand plays at most {MOST_TOGETHER} keys at once", "", offset - 1)
    return tuple(pitches[key] for key in sorted(pitches))


def _not_a_note(text: str) -> tuple[str, str]:
    """What is wrong with a sign of a row, and what to write."""
    if not text:
        return "a note is missing here", "write E4+G4 for notes together, E4,G4 one after another"
    if text in ("x", "X", "1", "3", "5", "7", "8"):
        return (
            f"`{text}` is a sign of patterns",
            "write the note, E4; a pattern stands above the first section",
        )
    found = _LETTER.fullmatch(text)
    if found:
        letter = {"h": "B"}.get(found[1].casefold(), found[1].upper())
        if found[3]:
            return f"`{text}` is not a note", f"did you mean `{letter}{found[2]}{found[3]}`?"
        hint = f"write {letter}{found[2]}4 for the one in the octave of middle C"
        return f"`{text}` has no octave", hint
    several = re.findall(r"[A-G][#b♯♭]{0,2}\d", text)
    if len(several) > 1 and "".join(several) == text:
        together = "+".join(several)
        return f"`{text}` is not a note", f"notes struck together are written {together}"
    if re.fullmatch(r"[.\-]+", text):
        return f"`{text}` is not a note", f"put spaces between the columns: {' '.join(text)}"
    return f"`{text}` is not a note", "write a note with its octave (E4), . for nothing, - for held"
