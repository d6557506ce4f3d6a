"""What kind of line is each line of a sheet?

Sheets are typed for people, so a line is what most of it looks like: chords, words, the
name of a section, a fact about the song, or nothing that can be told. The text may come
from any editor: UTF-8, UTF-16, or one byte a sign as Western European systems wrote it
(Windows-1252; WHATWG Encoding Standard, where it also stands for Latin-1).
"""

import codecs
import re
import unicodedata
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

Kind = Literal["blank", "chords", "words", "heading", "like", "again", "ending", "facts", "unclear"]

TAB = 8
LONGEST = 2_000
"""Lines of a sheet; a song takes a hundred."""
WIDEST = 2_000
"""Signs of a line."""

_SECTION_WORDS = (
    r"verse|chorus|refrain|bridge|intro|outro|ending|end|coda|tag|solo|interlude|instrumental|vamp"
    r"|pre-?chorus|turnaround|hook|break|part|strophe|middle|reprise|opening|closing|lead-in"
)
_WHICH = r"final|last|first|second|third|fourth|double|half|short|quiet|guitar|piano"
_SHORT = r"(?:v|ch|br|pc)\.?\s?\d{1,2}|ch|chor|br|pc|pre"
"""Verse, chorus, bridge, pre-chorus; a V alone is none."""
_NUMBER = r"[\s.]*(?:\d+|[ivx]+|one|two|three|four)"
"""Of a section, behind its name."""
_NAMED = rf"(?:(?:{_WHICH})\s+)?(?:(?:{_SECTION_WORDS})\b(?:{_NUMBER}\b)?|(?:{_SHORT})\b)"
_NAME = re.compile(rf"{_NAMED}(?:[\s.]*[a-d])?", re.I)
_NAME_AND_NOTE = re.compile(rf"({_NAMED})\s*\(([^()]+)\)", re.I)
_VERSE = re.compile(r"(\d{1,2}(?=\s?[.):])|[IVX]{1,4})\s?[.):]?")
_INLINE = re.compile(r"\[([^\]]*)\]")
_BRACKETED = re.compile(r"\[([^\]]*)\](.*)")
_COLON = re.compile(r"([^:|]{1,40}):(?!/)(.*)")
_NAME_AND_CHORDS = re.compile(rf"({_NAMED})(?:\s*[-–—=]\s+|\s+)(.+)", re.I)
_SAME_AS = (
    r"(?:=|\b(?:same(?: chords)? as|over|chords of|as in|as|like)\b)\s*(?:the\s+)?"
    rf"({_NAMED}|\d{{1,2}})(?:\s+chords|\s+changes)?\s*\)?\.?"
)
_LIKE = re.compile(rf"(.+?)\s*[-–—,:(]?\s*{_SAME_AS}", re.I)
_LIKE_ALONE = re.compile(rf"\(?{_SAME_AS}", re.I)
_REPEAT = re.compile(r"[(\[]?\s*(?:repeat|again|back to)\b\s*([^)\]]*?)\s*[)\]]?\.?", re.I)
_OTHERWISE = re.compile(rf"({_NAMED})\s+(?:with|but|to|in)\b.*", re.I)
_FORM = re.compile(r"(?:form|order|structure|arrangement)\s*[:=].*", re.I)
_COMES_AGAIN = re.compile(r"\s*[(\[]?\b(?:repeat(?:ed)?|again|as before)\s*[)\]]?\.?$", re.I)
_ENDING = re.compile(r"\(?(?:end|ends|finish)\s+(?:on|with)\s+(?:an?\s+)?(\S+?)[.)]*", re.I)
_ABOUT = r"(?:(?:about|around)\s+|(?:ca?\.|~)\s*)"
_FACTS = (
    (r"(title|song|artist|key|tempo|bpm|time signature|time|meter|capo)\s*[:=]\s*(.*)", None),
    (r"(?:(?:words|lyrics|music|song|written|and|&)\s+)*(by)\s*:?\s+(.+)", "by"),
    (r"(?:words|lyrics|music)(?:\s*(?:and|&|\+)\s*(?:words|lyrics|music))?\s*:\s*(.+)", "by"),
    (r"capo\s+(?:on\s+|at\s+)?(\d.*|[ivx]+)", "capo"),
    (r"(?:in\s+)?(?:the\s+)?key\s+(?:of\s+)?([A-H][#b♯♭]?(?:\s*(?:m|minor|major))?)", "key"),
    (r"in\s+([A-H][#b♯♭]?\s+(?:minor|major))", "key"),
    (r"(?:time|meter|time signature)?\s*(\d{1,2}/\d{1,2})(?:\s+time)?", "time"),
    (rf"(?:tempo|[♩♪𝅘𝅥]\.?)\s*=?\s*{_ABOUT}?(\d{{2,3}})(?:\s*bpm)?", "tempo"),
    (rf"{_ABOUT}?(\d{{2,3}})\s*bpm", "tempo"),
    (rf"{_ABOUT}(\d{{2,3}})", "tempo"),
)
"""Facts of a song as they are written, with the name where the line does not say it."""
_FACT_PATTERNS = tuple((re.compile(pattern, re.I), name) for pattern, name in _FACTS)
_FACT_NAMES = {"song": "title", "artist": "by", "bpm": "tempo", "time": "meter"}
_FACT_NAMES |= {"time signature": "meter"}
_IN_BRACKETS = re.compile(r"(.+?)\s*\(([^()]+)\)")
_IN_BRACKETS_ALONE = re.compile(r"\([^()]+\)")
_NOTE = re.compile(r"(?:in\s+)?([A-G][#b♯♭]?(?:m|\s+(?:minor|major))?)")
_BETWEEN_FACTS = re.compile(r"\s{2,}|\s*[,;|]\s*")


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
    return [_line(number, row, german) for number, row in enumerate(rows, 1)]


def _plain(row: str) -> str:
    """The line with what cannot be seen as spaces, tabs to their columns, nothing in bold."""
    row = row.expandtabs(TAB).replace("**", "")
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
        return SheetText("like", text, like=_called(as_there[1]), number=number)
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
    """Chords in brackets among the words that are sung to them, if it is that."""
    chords, words = _INLINE.findall(text), " ".join(_INLINE.sub("", text).split())
    row = read_chords(" ".join(chords), german) if all(map(is_chord, chords)) else None
    sung = row is not None and any(sign.isalpha() for sign in words)
    return SheetText("chords", text, value=words, row=row) if sung else None


def read_facts(text: str) -> tuple[tuple[str, str], ...]:
    """What a line says of the song, by name; nothing for a line that says anything else."""
    text = text.removeprefix("#").strip()
    if _IN_BRACKETS_ALONE.fullmatch(text):
        text = text[1:-1].strip()
    parts = [part for part in _BETWEEN_FACTS.split(text) if part]
    for part in (parts, [text]):
        facts = [_fact(one) for one in part]
        if facts and all(facts):
            return tuple(fact for fact in facts if fact)
    return ()


def facts_among(text: str) -> tuple[tuple[str, str], ...]:
    """What the parts of a line say of the song, whatever stands between them."""
    return sum(map(read_facts, _BETWEEN_FACTS.split(text)), ())


def facts_beside(text: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    """A title without the facts that stand far behind it on its line or in brackets, and those."""
    title, *rest = re.split(r"\s{2,}", text)
    facts = [read_facts(part) for part in rest]
    if not all(facts):
        title, facts = text, []
    if bracket := _IN_BRACKETS.fullmatch(title):
        key = _NOTE.fullmatch(bracket[2])
        inside = read_facts(bracket[2]) or ((("key", key[1]),) if key else ())
        title, facts = (bracket[1] if inside else title), [inside, *facts]
    return title, sum(facts, ())


def _fact(text: str) -> tuple[str, str] | None:
    for pattern, name in _FACT_PATTERNS:
        found = pattern.fullmatch(text)
        if found:
            named = (name or found[1]).casefold()
            return _FACT_NAMES.get(named, named), found[found.lastindex or 0].strip()
    return None


def _heading(text: str, german: bool) -> SheetText | None:
    like = _LIKE.fullmatch(text)
    if like and (named := _name_alone(like[1])):
        return SheetText("heading", text, named, like=_called(like[2]))
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed and not is_chord(bracketed[1]):
        name, rest = bracketed[1], bracketed[2].strip()
    elif (found := _COLON.fullmatch(text)) and (not found[2].strip() or _NAME.fullmatch(found[1])):
        name, rest = found[1], found[2].strip()
    elif (found := _NAME_AND_CHORDS.fullmatch(text)) and read_chords(found[2], german):
        name, rest = found[1], found[2]
    elif found := _VERSE.fullmatch(text):
        name, rest = _called(found[1]), ""
    else:
        name, times = with_times(_COMES_AGAIN.sub("", text).strip("()<>{}=-*. "))
        if _NAME.fullmatch(name):
            return SheetText("heading", text, name, times=times)
        if (found := _NAME_AND_NOTE.fullmatch(text)) is None:
            return None
        name, rest = found[1], found[2]
    return _with_rest(text, name, rest)


def _called(name: str) -> str:
    """The name of a section; a number alone is a verse's."""
    return f"Verse {name}" if _VERSE.fullmatch(f"{name}.") else name


def _with_rest(text: str, name: str, rest: str) -> SheetText | None:
    """A heading with what stands behind it."""
    name, inside = with_times(_COMES_AGAIN.sub("", name))
    if _REPEAT.fullmatch(rest):
        rest = ""
    behind, after = with_times(rest)
    if not behind:
        rest = ""
    if not name or read_chords(name, german=False):
        return None
    chords = read_chords(rest, german=False) if rest else None
    if rest and chords is None and not _NAME.match(name):
        return None
    times = inside if chords else max(inside, after)
    return SheetText("heading", text, " ".join(name.split()), rest, times=times)


def names_like(name: str) -> tuple[str, ...]:
    """The names, in small letters, of sections whose chords one of that name may have."""
    bare = re.sub(rf"^(?:{_WHICH})\s+", "", name)
    return name, stem(name), bare, stem(bare)


def stem(name: str) -> str:
    """What `Verse 1` and `Verse 2` have in common."""
    return re.sub(rf"{_NUMBER}$", "", name.casefold())


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
