"""What kind of line is each line of a chart text?

The text is made plain first: bar lines, spaces and line ends that look the same on a
music stand are the same here, character for character, so that columns stay true.
Then every line falls into one kind by how it begins, which is all that a person
who types a chart has to know.
"""

import re
from dataclasses import dataclass
from typing import Literal

from evaluator.chart.utf_16 import decode_utf_16
from evaluator.errors import ChartError
from evaluator.errors.mistake import Mistake

LARGEST = 1_000_000
"""Bytes or characters of a chart. A long song takes five thousand."""

Kind = Literal["blank", "heading", "bars", "or", "other"]

# Bar lines as word processors and music fonts write them, each one character wide.
_BAR_LINES = "│┃∣❘｜ǀ¦║‖𝄀𝄁𝄂𝄃𝄄"
_SPACES = "\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f"
_SPACES += "\u205f\u3000\u200b\ufeff\f\v"
# What a reader does not see, and what a terminal, a score or a MIDI file might act on:
# controls, marks of writing direction, and two numbers that are no characters (Unicode,
# C0 and C1 controls, Bidirectional Algorithm, noncharacters; XML 1.0 forbids some of them).
_UNSEEN = "".join(chr(code) for code in (*range(32), *range(0x7F, 0xA0)) if chr(code) != "\t")
_UNSEEN += "\u061c\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e"
_UNSEEN += "\u2066\u2067\u2068\u2069\ufffe\uffff"
_PLAIN = str.maketrans(
    dict.fromkeys(_BAR_LINES, "|") | dict.fromkeys(_SPACES + _UNSEEN, " ") | {"×": "x"}
)

# A sign of comment opens a line or follows a space or a bar line; elsewhere it is a sharp.
_COMMENT = re.compile(r"(?:^|(?<=[\s|]))#.*")
_OR = re.compile(r"\s*or\s*\|", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line, plain and without its comment; columns are those of the text."""

    number: int
    text: str
    kind: Kind
    commented: bool

    @property
    def indented(self) -> bool:
        """Whether the line begins with a space or a tab, as a row of notes does."""
        return self.text[:1] in (" ", "\t")

    def column(self, offset: int = 0) -> int:
        """Column of the first sign at or after an offset."""
        rest = self.text[offset:]
        return offset + len(rest) - len(rest.lstrip()) + 1


def decode_chart(raw: bytes, *, file: str = "chart") -> str:
    """The text of a chart file: UTF-8, with or without a byte order mark, or UTF-16.

    Raises:
        ChartError: for another encoding, or a file beyond `LARGEST`.
    """
    if len(raw) > LARGEST:
        raise _refusal(file, "this file is larger than 1 MB", "a chart is a page or two of text")
    try:
        wide = decode_utf_16(raw)
    except UnicodeDecodeError as error:
        hint = "save it once more as plain text in UTF-8"
        raise _refusal(file, "this file is damaged UTF-16 text", hint) from error
    if wide is not None:
        return wide
    if b"\0" in raw[:200]:
        raise _refusal(file, "this file is not text", "save it as plain text in UTF-8")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        good = raw[: error.start].decode("utf-8-sig")
        number = good.count("\n") + 1
        column = len(good) - (good.rfind("\n") + 1) + 1
        source = good[good.rfind("\n") + 1 :] + "\N{REPLACEMENT CHARACTER}"
        mistake = Mistake(
            file,
            number,
            column,
            source,
            "this sign is not UTF-8 text",
            "save the chart as plain text in UTF-8",
        )
        raise ChartError((mistake,)) from error


def split_lines(text: str, *, file: str) -> tuple[list[str], list[TextLine]]:
    """The lines as they stand, and the same lines made plain and named by kind.

    Raises:
        ChartError: for a text beyond `LARGEST`.
    """
    if len(text) > LARGEST:
        raise _refusal(file, "this chart is longer than 1 MB", "a chart is a page or two of text")
    sources = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if sources[0].startswith("\ufeff"):
        sources[0] = sources[0][1:]
    return sources, [_text_line(number, source) for number, source in enumerate(sources, 1)]


def _text_line(number: int, source: str) -> TextLine:
    plain = source.translate(_PLAIN)
    text = _COMMENT.sub("", plain).rstrip()
    return TextLine(number, text, _kind(text), text != plain.rstrip())


def _kind(text: str) -> Kind:
    start = text.lstrip()[:1]
    if not start:
        return "blank"
    if start == "[":
        return "heading"
    if start == "|":
        return "bars"
    return "or" if _OR.match(text) else "other"


def _refusal(file: str, message: str, suggestion: str) -> ChartError:
    return ChartError((Mistake(file, 1, 1, "", message, suggestion),))
