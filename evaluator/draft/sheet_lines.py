"""What kind of line is each line of a sheet?

Sheets are typed for people, so a line is what most of it looks like: chords, words, the
name of a section, a fact about the song, or nothing that can be told. The text may come
from any editor: UTF-8, UTF-16, or one byte a sign as Western European systems wrote it
(Windows-1252; WHATWG Encoding Standard, where it also stands for Latin-1).
"""

import codecs
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from evaluator.chart.utf_16 import decode_utf_16
from evaluator.draft.chord_row import (
    TABLATURE,
    ChordRow,
    has_german_notes,
    is_chord,
    read_chords,
    with_times,
)
from evaluator.draft.sheet import SheetError
from evaluator.draft.sheet_facts import read_facts

Kind = Literal["blank", "chords", "words", "heading", "like", "again", "ending", "facts", "unclear"]

TAB = 8
LONGEST = 2_000
"""Lines of a sheet; a song takes a hundred."""
WIDEST = 2_000
"""Signs of a line."""
_SUNG, _PROSE = 70, 10
"""Signs of a line of words that is sung; a text with so many wider ones for each line of chords
is none to sing from. Common practice, no source."""
_A_SHEET = "A sheet has lines of chord names, such as D  A  Bm7  G, above the lines of words."

_SECTION_WORDS = (
    r"verse|chorus|refrain|bridge|intro|outro|ending|end|coda|tag|solo|interlude|instrumental|vamp"
    r"|pre-?chorus|turnaround|hook|break|part|strophe|middle|reprise|opening|closing|lead-in"
    r"|(?:vor|nach|zwischen)spiel|einleitung|ende|schluss"
)
_WHICH = r"final|last|first|second|third|fourth|double|half|short|quiet|guitar|piano"
_SHORT = r"(?:v|str|ch|br|pc)\.?\s?\d{1,2}|ch|chor|ref|br|pc|pre|intr|instr"
"""Verse, chorus, bridge, pre-chorus; a V alone is none."""
_LONG = {"v": "verse", "str": "strophe", "ch": "chorus", "chor": "chorus", "br": "bridge"}
_LONG |= {"pc": "pre-chorus", "pre": "pre-chorus", "ref": "refrain"}
_NUMBER = r"[\s.]*(?:\d+|[ivx]+|one|two|three|four)"
"""Of a section, behind its name."""
_NAMED = rf"(?:(?:{_WHICH})\s+)?(?:(?:{_SECTION_WORDS})\b(?:{_NUMBER}\b)?|(?:{_SHORT})\b)"
_NAME = re.compile(rf"{_NAMED}(?:[\s.]*[a-d])?", re.I)
_NAME_AND_NOTE = re.compile(rf"({_NAMED})\s*\(([^()]+)\)", re.I)
_VERSE = re.compile(r"(\d{1,2}(?=\s?[.):])|[IVX]{1,4})\s?[.):]?")
_RULED = re.compile(r"^#+\s+")
"""Signs of a title or a heading."""
_INLINE = re.compile(r"\[([^\]]*)\]")
_BRACKETED = re.compile(r"\[([^\]]*)\](.*)")
_COLON = re.compile(r"([^:|]{1,40}):(?!/)(.*)")
_NAME_AND_CHORDS = re.compile(rf"({_NAMED}|\d{{1,2}}(?=[.)]))[.)]?(?:\s*[-–—=]\s+|\s+)(.+)", re.I)
_SAME_AS = (
    r"(?:=|\b(?:same(?: chords)? as|over|chords of|as in|as|like)\b)\s*(?:the\s+)?"
    rf"({_NAMED}|\d{{1,2}})(?:\s+chords|\s+changes)?\s*\)?\.?"
)
_LIKE = re.compile(rf"(.+?)[-–—,:(\s]*{_SAME_AS}", re.I)
_LIKE_ALONE = re.compile(rf"\(?(?:{_SAME_AS}|(?:same|as before|as above)\.?\)?)", re.I)
_REPEAT = re.compile(r"[(\[]?\s*(?:repeat|again|back to)\b\s*([^)\]]*?)\s*[)\]]?\.?", re.I)
_OTHERWISE = re.compile(rf"({_NAMED})\s+(?:with|but|to|in)\b.*", re.I)
_FORM = re.compile(r"(?:form|order|structure|arrangement)\s*[:=].*", re.I)
_COMES_AGAIN = re.compile(r"\s*[(\[]?\b(?:repeat(?:ed)?|again|as before)\s*[)\]]?\.?$", re.I)
_ENDING = re.compile(r"\(?(?:end|ends|finish)\s+(?:on|with)\s+(?:an?\s+)?(\S+?)[.)]*", re.I)


@dataclass(frozen=True, slots=True)
class SheetText:
    """One line, named by its kind."""

    kind: Kind
    text: str
    name: str = ""
    """Of a heading, of what is to be repeated; the chord of an ending."""
    value: str = ""
    """What stands behind a heading; the words of chords that stand among them."""
    like: str = ""
    """The section whose chords a heading, or the line below it, asks for."""
    row: ChordRow | None = None
    times: int = 1
    number: int = 0
    facts: tuple[tuple[str, str], ...] = ()
    """Names and values."""


def decode_sheet(raw: bytes) -> str:
    """The text of a sheet, whatever the editor wrote it in."""
    wide = decode_utf_16(raw, errors="replace")
    if wide is not None:
        return wide
    if raw.startswith(codecs.BOM_UTF8):
        return raw.decode("utf-8-sig", errors="replace")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def split_sheet(text: str) -> list[SheetText]:
    """The lines of a sheet by kind. German names of notes are read where H is among them.

    Raises:
        SheetError: for a text that is longer than any song.
    """
    rows = [_plain(row) for row in re.split(r"\r\n|[\n\r\x0b\x0c\x85\u2028\u2029]", text)]
    if len(rows) > LONGEST or any(len(row) > WIDEST for row in rows):
        raise SheetError("This text is longer than a song sheet; give the sheet of one song.")
    german = has_german_notes(rows)
    return [_line(number, row, german) for number, row in _in_one_column(rows)]


def check_sung(lines: Sequence[SheetText], rows: int) -> None:
    """Raises `SheetError` for a text with no lines of chords, or with hardly any among prose;
    `rows` is the number of those that were read."""
    if not rows:
        raise SheetError(f"No line of this text consists of chords. {_A_SHEET}")
    if sum(line.kind == "words" and len(line.text) > _SUNG for line in lines) > _PROSE * rows:
        only = "1 line of it consists" if rows == 1 else f"{rows} lines of it consist"
        raise SheetError(f"This text is mostly prose: only {only} of chords. {_A_SHEET}")


def _in_one_column(rows: Sequence[str]) -> list[tuple[int, str]]:
    """The numbered lines; of two columns that begin with a heading each, the left one first."""
    numbered = list(enumerate(rows, 1))
    for place, row in enumerate(rows):
        parts = list(re.finditer(r"\S+(?: \S+)*", row))
        if len(parts) != 2 or not all(_NAME.fullmatch(part[0].strip("[]():")) for part in parts):
            continue
        cut = parts[1].start()
        gap = [not row[cut - 1 : cut].strip() for row in rows[place:]]
        below = numbered[place : place + [*gap, False].index(False)]
        if sum(bool(one[cut:].strip()) for _, one in below) > 1:
            halves = (slice(cut), slice(cut, None))
            columns = [(number, one[half]) for half in halves for number, one in below]
            return numbered[:place] + columns + numbered[place + len(below) :]
    return numbered


def _plain(row: str) -> str:
    """The line with what cannot be seen as spaces, tabs to their columns, nothing in bold."""
    row = _RULED.sub("", row.expandtabs(TAB).replace("**", ""))
    return "".join(
        " " if unicodedata.category(sign) in ("Cc", "Cf", "Zs", "Cs", "Cn") else sign
        for sign in row
    ).rstrip()


def _line(number: int, row: str, german: bool) -> SheetText:
    text = row.strip()
    if not text:
        return SheetText("blank", text, number=number)
    facts = read_facts(text)
    if facts:
        return SheetText("facts", text, number=number, facts=facts)
    ending = _ENDING.fullmatch(text)
    if ending and is_chord(ending[1]):
        return SheetText("ending", text, ending[1], number=number)
    again = _REPEAT.fullmatch(text)
    if again:
        name, times = with_times(again[1])
        name = _OTHERWISE.sub(r"\1", name)
        return SheetText("again", text, name, times=times, number=number)
    if _FORM.fullmatch(text):
        return SheetText("unclear", text, number=number)
    if as_there := _LIKE_ALONE.fullmatch(text):
        return SheetText("like", text, like=_called(as_there[1] or ""), number=number)
    heading = _heading(text, german)
    if heading is not None:
        return replace(heading, number=number)
    if (within := _inline(text, german)) is not None:
        return replace(within, number=number)
    row_of_chords = read_chords(text, german)
    if row_of_chords is not None:
        return SheetText("chords", text, row=row_of_chords, number=number)
    kind: Kind = "unclear" if _is_unclear(text) else "words"
    return SheetText(kind, text, number=number)


def _inline(text: str, german: bool) -> SheetText | None:
    """Chords in brackets, by themselves or among the words that are sung to them, if it is that."""
    chords, words = _INLINE.findall(text), " ".join(_INLINE.sub("", text).split())
    row = read_chords(" ".join(chords), german) if all(map(is_chord, chords)) else None
    sung = any(sign.isalpha() for sign in words) or (not words and len(chords) > 1)
    return SheetText("chords", text, value=words, row=row) if row is not None and sung else None


def _heading(text: str, german: bool) -> SheetText | None:
    like = _LIKE.fullmatch(" ".join(text.split()))  # which takes long for many spaces
    if like and (named := _name_alone(like[1])):
        return SheetText("heading", text, named, like=_called(like[2]))
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed and not is_chord(bracketed[1]):
        name, rest = bracketed[1], bracketed[2].strip()
    elif (found := _COLON.fullmatch(text)) and _opens(found[1], found[2].strip(), german):
        name, rest = found[1], found[2].strip()
    elif (found := _NAME_AND_CHORDS.fullmatch(text)) and read_chords(found[2], german):
        name, rest = _called(found[1]), found[2]
    elif found := _VERSE.fullmatch(text):
        name, rest = _called(found[1]), ""
    else:
        name, times = with_times(_COMES_AGAIN.sub("", text).strip("()<>{}=-*. "))
        if _NAME.fullmatch(name):
            return SheetText("heading", text, name, times=times)
        if (found := _NAME_AND_NOTE.fullmatch(text)) is None:
            return None
        name, rest = found[1], found[2]
    return _with_rest(text, name, rest, german)


def _opens(name: str, rest: str, german: bool) -> bool:
    """Whether a name with a colon is a heading's, by what stands behind it."""
    return not rest or bool(_NAME.fullmatch(name)) or read_chords(rest, german) is not None


def _called(name: str) -> str:
    """The name of a section; a number alone is a verse's."""
    return f"Verse {name}" if _VERSE.fullmatch(f"{name}.") else name


def _with_rest(text: str, name: str, rest: str, german: bool) -> SheetText | None:
    """A heading with what stands behind it."""
    name, inside = with_times(_COMES_AGAIN.sub("", name))
    if _REPEAT.fullmatch(rest):
        rest = ""
    behind, after = with_times(rest)
    if not behind:
        rest = ""
    letter = len(name) == 1 and text.startswith(f"{name}:")
    if not name or (read_chords(name, german) and not letter):
        return None
    chords = read_chords(rest, german) if rest else None
    if rest and chords is None and not _NAME.match(name):
        return None
    times = inside if chords else max(inside, after)
    return SheetText("heading", text, " ".join(name.split()), rest, times=times)


def names_like(name: str) -> tuple[str, ...]:
    """The names, as `known_as`, of sections whose chords one of that name may have."""
    named = known_as(name)
    bare = re.sub(rf"^(?:{_WHICH})\s+", "", named)
    return named, stem(named), bare, stem(bare)


def stem(name: str) -> str:
    """What `Verse 1` and `Verse 2` have in common, as `known_as`."""
    return re.sub(rf"{_NUMBER}$", "", known_as(name))


def known_as(name: str) -> str:
    """A name in small letters and whole: `verse 2` of `V2`."""
    name = name.casefold().strip(".: ")
    short = re.fullmatch(r"([a-z]+)\.?\s?(\d*)", name)
    return f"{_LONG[short[1]]} {short[2]}".strip() if short and short[1] in _LONG else name


def _name_alone(text: str) -> str:
    """The name in a heading with nothing behind it, or nothing."""
    name = text.strip("()[]<>{}=-*: ")
    if verse := _VERSE.fullmatch(name):
        return _called(verse[1])
    return name if _NAME.fullmatch(name) or text.startswith("[") else ""


def _is_unclear(text: str) -> bool:
    """Neither chords nor words: rules, tablature, addresses, chords beside other brackets."""
    letters = sum(sign.isalpha() for sign in text)
    inline = [part for part in _INLINE.findall(text) if is_chord(part)]
    return bool(
        letters * 3 < len(text.replace(" ", "")) or "://" in text or TABLATURE.match(text) or inline
    )
