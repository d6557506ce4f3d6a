"""Which bars stand in a line, and which signs in a bar?

A line is cut at its bar lines; what follows the last one is the count. A bar is a
meter of its own, if it has one, and signs: chords, `N.C.`, `<G>` held, each with the
slashes and the colours in parentheses behind it; or `%` alone.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from evaluator.chart import values
from evaluator.chart.fit import MOST_BARS
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes
from evaluator.chart.model import Count, Sign, WrittenBar
from evaluator.chart.values import RefusedError
from evaluator.theory.symbol import ChordSymbol

_METER = re.compile(r"\s*(\d+\s*/\s*\d+)\s*:")
_BARE_METER = re.compile(r"\d+/\d+")
_METER_IN_PARENTHESES = re.compile(r"(?<!\S)\((\d+/(?:1|2|4|8|16|32))\)\s*:?")
_COUNT = re.compile(r"x\d\S*", re.I)
_COLOURED = re.compile(r"(?P<chord>[A-G][^(]*)\((?P<colour>[A-G].*)\)")


_ChordReader = Callable[[str], ChordSymbol]


@dataclass(frozen=True, slots=True)
class _Token:
    text: str
    column: int


class BarReader:
    """Reads the lines of bars of one chart; knows what `%` stands for."""

    def __init__(self, mistakes: Mistakes) -> None:
        self._mistakes = mistakes
        self._chords: dict[str, ChordSymbol] = {}
        self._count_read = 0

    def read(
        self, line: TextLine, offset: int, before: WrittenBar | None
    ) -> tuple[tuple[WrittenBar, ...], Count | None]:
        """The bars of a line whose first bar line stands at `offset`, and its count.

        `before` is the bar that a `%` in the first bar repeats. A bar with a mistake
        has no signs.
        """
        cuts = [place for place, sign in enumerate(line.text) if sign == "|" and place >= offset]
        bars: list[WrittenBar] = []
        for start, end in pairwise(cuts):
            text = line.text[start + 1 : end]
            if text.strip():
                before = self._bar(text, line.number, start + 1, before)
                bars.append(before)
            elif end > start + 1:
                self._note(line.number, start + 2, "this bar is empty", "write %, N.C. or a chord")
        if not bars:
            if all(end == start + 1 for start, end in pairwise(cuts)):
                self._no_bars(line, cuts)
            return (), None
        self._count_read += len(bars)
        if self._count_read > MOST_BARS:
            self._note(line.number, 1, f"from here on the chart has more than {MOST_BARS} bars")
            self._mistakes.settle()
        return tuple(bars), self._count(line, cuts[-1] + 1)

    def _no_bars(self, line: TextLine, cuts: list[int]) -> None:
        rest = line.text[cuts[0] + 1 :].strip(" \t|")
        if rest and not values.is_count(rest):
            self._unclosed(line, cuts[-1] + 1)
        else:
            self._note(line.number, cuts[0] + 1, "there is no bar in this line", "write | G | D |")

    def _count(self, line: TextLine, offset: int) -> Count | None:
        text = line.text[offset:].strip()
        if not text:
            return None
        if text[:1].casefold() != "x":
            self._unclosed(line, offset)
            return None
        try:
            return values.count(text)
        except RefusedError as refused:
            self._note(line.number, line.column(offset), refused.message, refused.suggestion)
            return None

    def _unclosed(self, line: TextLine, offset: int) -> None:
        hint = "end the line with |, or with | x4 to play it four times"
        if line.commented:
            hint += "; what follows # is a comment"
        self._note(line.number, line.column(offset), "the last bar is not closed", hint)

    def _bar(self, text: str, number: int, offset: int, before: WrittenBar | None) -> WrittenBar:
        """The bar between two bar lines; `offset` is that of its text in the line."""
        column = offset + len(text) - len(text.lstrip()) + 1
        bar = WrittenBar((), " ".join(text.split()), None, number, column)
        found = _METER.match(text)
        try:
            meter = values.meter(found[1]) if found else None
        except RefusedError as refused:
            self._note(number, column, refused.message, refused.suggestion)
            return bar
        enclosed = _METER_IN_PARENTHESES.search(text)
        if enclosed:
            rest = " ".join((text[: enclosed.start()] + " " + text[enclosed.end() :]).split())
            place = offset + enclosed.start() + 1
            hint = f"write {enclosed[1]}: {rest or 'G'}"
            self._note(number, place, "the meter of a bar stands in parentheses", hint)
            return bar
        start = found.end() if found else 0
        tokens = list(_tokens(text, start, offset + 1))
        if not tokens:
            self._note(number, column, "this bar has a meter and no chord", "write 2/4: G")
            return bar
        if any(token.text == "%" for token in tokens):
            signs = self._repeated(tokens, number, before)
        else:
            signs = self._signs(tokens, number)
        return replace(bar, signs=signs, meter=meter)

    def _repeated(
        self, tokens: list[_Token], number: int, before: WrittenBar | None
    ) -> tuple[Sign, ...]:
        sign = next(token for token in tokens if token.text == "%")
        if len(tokens) > 1:
            hint = "% repeats the whole bar before it; write the chords out"
            self._note(number, sign.column, "% must stand alone in its bar", hint)
        elif before is None:
            hint = "write the chords out where a section begins"
            self._note(number, sign.column, "% has no bar before it in this section", hint)
        return before.signs if before and len(tokens) == 1 else ()

    def _signs(self, tokens: list[_Token], number: int) -> tuple[Sign, ...]:
        """The signs of a bar; none if one of them is a mistake."""
        signs: list[Sign] = []
        good = True
        for token in tokens:
            try:
                _extend(signs, token.text, self._chord)
            except RefusedError as refused:
                column = token.column + refused.offset
                self._note(number, column, refused.message, refused.suggestion)
                good = False
                if token.text[:1] not in "/(":
                    signs.append(Sign(None, 0))
        return tuple(signs) if good else ()

    def _chord(self, text: str) -> ChordSymbol:
        known = self._chords.get(text)
        if known is None:
            known = self._chords[text] = values.chord(text)
        return known

    def _note(self, line: int, column: int, message: str, suggestion: str = "") -> None:
        self._mistakes.add(line, column, message, suggestion)


def _tokens(text: str, start: int, first_column: int) -> Iterator[_Token]:
    """Signs parted by spaces; what stands in < > or in parentheses is one sign."""
    place = start
    while place < len(text):
        if text[place].isspace():
            place += 1
            continue
        end = _end_of_token(text, place)
        yield _Token(text[place:end], first_column + place)
        place = end


def _end_of_token(text: str, start: int) -> int:
    if text[start] == "<":
        return text.find(">", start) + 1 or len(text)
    depth = 0
    for place in range(start, len(text)):
        if text[place] == "(":
            depth += 1
        elif text[place] == ")":
            depth -= 1
            if depth == 0 and text[start] == "(":
                return place + 1
        elif text[place].isspace() and depth <= 0:
            return place
    return len(text)


def _extend(signs: list[Sign], token: str, chord: _ChordReader) -> None:
    """Add one sign, or add a slash or colours to the last.

    Raises:
        RefusedError: with what is wrong and its offset in the token.
    """
    if token == "/":
        if not signs:
            raise RefusedError("a slash has no chord before it", "begin the bar with a chord")
        signs[-1] = replace(signs[-1], slashes=signs[-1].slashes + 1)
    elif token.startswith("("):
        if not signs:
            raise RefusedError("a colour has no chord before it", "write G (Gsus4)")
        if signs[-1].chord is None:
            raise RefusedError("N.C. has no colours", "leave the parentheses out")
        signs[-1] = replace(signs[-1], colours=signs[-1].colours + _colours(token, chord))
    elif token.casefold() in values.NO_CHORD:
        signs.append(Sign(None, 0))
    elif token.startswith("<"):
        signs.append(Sign(_held(token, chord), 0, held=True))
    else:
        signs.append(Sign(_plain_chord(token, chord), 0))


def _colours(token: str, chord: _ChordReader) -> tuple[ChordSymbol, ...]:
    if not token.endswith(")") or token.count("(") != token.count(")"):
        raise RefusedError("the colour is not closed", "write G (Gsus4)")
    names = list(_tokens(token[1:-1].replace(", ", "  "), 0, 1))
    if not names:
        raise RefusedError("there is no colour in the parentheses", "write G (Gsus4)")
    colours = []
    for name in names:
        try:
            colours.append(chord(name.text))
        except RefusedError as refused:
            hint = refused.suggestion or "a colour is a whole chord: G (Gsus4)"
            raise RefusedError(refused.message, hint, name.column + refused.offset) from None
    return tuple(colours)


def _held(token: str, chord: _ChordReader) -> ChordSymbol:
    if not token.endswith(">"):
        raise RefusedError("the held chord is not closed", f"write {token.split()[0]}>")
    inner = token[1:-1].strip()
    if not inner or inner.casefold() in values.NO_CHORD:
        raise RefusedError("there is no chord to hold", "write <G>")
    try:
        return chord(inner)
    except RefusedError as refused:
        offset = token.index(inner) + refused.offset
        raise RefusedError(refused.message, refused.suggestion, offset) from None


def _plain_chord(token: str, chord: _ChordReader) -> ChordSymbol:
    """A chord, or the likeliest reason why a token is none."""
    if values.is_count(token):
        raise RefusedError("a count stands inside the line", f"put it at the end: | {token}")
    if _BARE_METER.fullmatch(token):
        raise RefusedError("a meter needs a colon after it", f"write {token}: G")
    if token.startswith(":") or token.endswith(":"):
        raise RefusedError("repeat signs are not read", "write x2 after the line")
    coloured = _COLOURED.fullmatch(token)
    if coloured:
        hint = f"put a space before a colour: {coloured['chord']} ({coloured['colour']})"
        raise RefusedError("a colour stands too close to its chord", hint)
    if token.endswith("/") or "//" in token:
        hint = f"put a space before every slash of a beat: {' /'.join(token.split('/')).strip()}"
        raise RefusedError("a slash stands too close to its chord", hint)
    return chord(token)
