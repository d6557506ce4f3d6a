"""What kind of line is each line of a sheet?

Sheets are typed for people, so a line is what most of it looks like: chords, words, the
name of a section, a fact about the song, or nothing that can be told. The text may come
from any editor: UTF-8, UTF-16, or one byte a sign as Western European systems wrote it
(Windows-1252; WHATWG Encoding Standard, where it also stands for Latin-1).
"""

import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

from evaluator.draft.sheet import SheetError
from evaluator.theory.symbol import ChordSymbol, ChordSymbolError, parse_chord

Kind = Literal["blank", "chords", "words", "heading", "again", "fact", "unclear"]

TAB = 8
LONGEST = 2_000
"""Lines of a sheet; a song takes a hundred."""
WIDEST = 2_000
"""Signs of a line."""
MOST_TIMES = 64
"""Of a line or a section again."""

_SECTION_WORDS = (
    r"verse|chorus|refrain|bridge|intro|outro|ending|end|coda|tag|solo|interlude|instrumental|vamp"
    r"|pre-?chorus|turnaround|hook|break|part|strophe|middle|reprise|opening|closing|lead-in"
)
_TIMES = re.compile(
    r"(?:^|\s+|\s*[(\[])\s*(?:x\s?(\d{1,2})|(\d{1,2})\s?x|(\d{1,2}) times|(twice))\s*[)\]]?$", re.I
)
_BRACKETED = re.compile(r"\[([^\]]*)\](.*)")
_COLON = re.compile(r"([^:|]{1,40}):(?!/)(.*)")
_FACT = re.compile(
    r"(title|song|by|artist|words and music|key|tempo|bpm|time|meter|time signature|capo)"
    r"\s*[:=]\s*(.*)",
    re.I,
)
_REPEAT = re.compile(r"[(\[]?\s*(?:repeat|again)\b\s*([^)\]]*?)\s*[)\]]?\.?", re.I)
_NAMED = re.compile(rf"(?:{_SECTION_WORDS})\b[\s.]*(?:\d+|[ivx]+|[a-d])?", re.I)
_BARS = frozenset("|‖│¦")
_FILLER = frozenset({"-", "–", "—", "/", "%", ".", ",", "...", "…", "~", "*", "->", "→"})
_NO_CHORD = frozenset({"n.c.", "n.c", "nc", "(n.c.)"})
_TABLATURE = re.compile(r"^[A-Ga-g]?\s*\|[-\d|hpbs/\\~x]*-[-\d|hpbs/\\~x]*$")
_LOOKS_LIKE_CHORD = re.compile(r"[A-H][#b♯♭]?(?:m|M|maj|min|dim|aug|sus|add|dom|[\^°øΔ\d/+(-])\S*")
_MOST_CHORDS = 0.6
"""Of the signs of a line, for it to be one of chords although some cannot be read."""


@dataclass(frozen=True, slots=True)
class ChordSign:
    """What stands where a chord should: read, or read as something near it."""

    chord: ChordSymbol | None
    text: str
    read: bool
    """Whether the text is a chord as it stands."""


@dataclass(frozen=True, slots=True)
class ChordRow:
    """A line of chords."""

    bars: tuple[tuple[ChordSign, ...], ...]
    """In groups where the line has bar lines, else one by one."""
    barred: bool
    count: int
    unread: tuple[str, ...]
    """Signs that are no chords and were left out."""


@dataclass(frozen=True, slots=True)
class SheetText:
    """One line, named by its kind."""

    kind: Kind
    text: str
    name: str = ""
    """Of a heading, of what is to be repeated, of a fact."""
    value: str = ""
    """What stands behind a heading or a fact's name."""
    row: ChordRow | None = None
    times: int = 1
    number: int = 0


def decode_sheet(raw: bytes) -> str:
    """The text of a sheet, whatever the editor wrote it in."""
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8-sig"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if raw.startswith(mark):
            return raw.decode(encoding, errors="replace")
    if b"\0" in raw[:200]:
        little = raw[1:200:2].count(0) >= raw[0:200:2].count(0)
        return raw.decode("utf-16-le" if little else "utf-16-be", errors="replace")
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
    german = any(_is_german(row) for row in rows)
    return [_line(number, row, german) for number, row in enumerate(rows, 1)]


def has_german_notes(text: str) -> bool:
    """Whether the chords are named in German, H for B and B for B flat."""
    return any(_is_german(_plain(row)) for row in text.splitlines())


def _plain(row: str) -> str:
    """The line with what cannot be seen as spaces, and tabs to their columns."""
    row = row.expandtabs(TAB)
    return "".join(
        " " if unicodedata.category(sign) in ("Cc", "Cf", "Zs", "Cs", "Cn") else sign
        for sign in row
    ).rstrip()


def _line(number: int, row: str, german: bool) -> SheetText:
    text = row.strip()
    if not text:
        return SheetText("blank", text, number=number)
    for reader in (_fact, _again, _heading):
        found = reader(text)
        if found is not None:
            return SheetText(found[0], text, found[1], found[2], times=found[3], number=number)
    row_of_chords = read_chords(text, german)
    if row_of_chords is not None:
        return SheetText("chords", text, row=row_of_chords, number=number)
    kind: Kind = "unclear" if _is_unclear(text) else "words"
    return SheetText(kind, text, number=number)


_Found = tuple[Kind, str, str, int]


def _fact(text: str) -> _Found | None:
    found = _FACT.fullmatch(text.removeprefix("#").strip())
    return ("fact", found[1].casefold(), found[2].strip(), 1) if found else None


def _again(text: str) -> _Found | None:
    found = _REPEAT.fullmatch(text)
    if not found:
        return None
    name, times = _with_times(found[1])
    return "again", name, "", times


def _heading(text: str) -> _Found | None:
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed and not _is_chord(bracketed[1]):
        name, rest = bracketed[1], bracketed[2].strip()
    elif (found := _COLON.fullmatch(text)) and (not found[2].strip() or _NAMED.fullmatch(found[1])):
        name, rest = found[1], found[2].strip()
    else:
        name, times = _with_times(text.strip("()<>{}=-* "))
        return ("heading", name, "", times) if _NAMED.fullmatch(name) else None
    name, inside = _with_times(name)
    rest, after = _with_times(rest)
    if (again := _again(rest)) is not None and rest:
        rest, after = "", again[3]
    if not name or read_chords(name, german=False):
        return None
    if rest and read_chords(rest, german=False) is None and not _NAMED.match(name):
        return None
    return "heading", " ".join(name.split()), rest, max(inside, after)


def _with_times(text: str) -> tuple[str, int]:
    """A text without the `x2` at its end, and the number."""
    text = text.strip()
    found = _TIMES.search(text)
    return (text[: found.start()].strip(), _times(found)) if found else (text, 1)


def _times(found: re.Match[str]) -> int:
    number = found[1] or found[2] or found[3]
    return min(MOST_TIMES, max(1, int(number))) if number else 2


def read_chords(text: str, german: bool) -> ChordRow | None:
    """A line of chords, or None if it is none."""
    if _TABLATURE.match(text):
        return None
    text, count = _with_times(text)
    groups: list[list[ChordSign]] = [[]]
    unread: list[str] = []
    barred = False
    for sign in _signs(text):
        if sign in _BARS:
            barred = True
            groups.append([])
        elif _again(sign) is not None:
            count = 2 if count == 1 else count
        elif sign not in _FILLER and not _slash_run(sign):
            chord = _chord_sign(sign, german)
            if chord is None:
                unread.append(sign)
            else:
                groups[-1].append(chord)
    chords = [chord for group in groups for chord in group]
    read = sum(chord.read for chord in chords)
    like = read + sum(bool(_LOOKS_LIKE_CHORD.fullmatch(c.text)) for c in chords if not c.read)
    if not read or like < _MOST_CHORDS * (len(chords) + len(unread)):
        return None
    bars = [group for group in groups if group] if barred else [[chord] for chord in chords]
    return ChordRow(tuple(map(tuple, bars)), barred, count, tuple(unread))


def _signs(text: str) -> list[str]:
    for bar in _BARS:
        text = text.replace(bar, " | ")
    text = re.sub(r"[|]\s*:|:\s*[|]", " | ", text)
    return re.findall(r"\((?:repeat|again)[^)]*\)|\S+", text, re.I)


def _slash_run(sign: str) -> bool:
    return not sign.strip("/.-–—:")


def _is_german(row: str) -> bool:
    return (
        bool(re.search(r"(?:^|\s)H(?:m|7|m7|\s|$)", row))
        and read_chords(row.strip(), True) is not None
    )


def _is_chord(text: str) -> bool:
    sign = _chord_sign(text.strip(), german=False)
    return sign is not None and sign.read


def _chord_sign(text: str, german: bool) -> ChordSign | None:
    if text.casefold() in _NO_CHORD:
        return ChordSign(None, text, True)
    bare = text.strip(",;:*'\"")
    if bare.startswith("(") and bare.endswith(")"):
        bare = bare[1:-1]
    if german:
        bare = _from_german(bare)
    try:
        return ChordSign(parse_chord(bare), text, True)
    except ChordSymbolError as error:
        if error.suggestion is None or len(bare) > len(error.suggestion) + 3:
            return None
        return ChordSign(parse_chord(error.suggestion), text, False)


def _from_german(text: str) -> str:
    """H is B, and B is B flat: of the root and of the bass."""
    names = {"H": "B", "B": "Bb"}
    parts = text.split("/")
    return "/".join(
        names.get(part[:1], part[:1]) + part[1:] if part[1:2] not in ("b", "#") else part
        for part in parts
    )


def _is_unclear(text: str) -> bool:
    """Neither chords nor words: rules, tablature, addresses, chords among the words."""
    letters = sum(sign.isalpha() for sign in text)
    inline = [part for part in re.findall(r"\[([^\]]*)\]", text) if _is_chord(part)]
    return bool(
        letters * 3 < len(text.replace(" ", ""))
        or "://" in text
        or _TABLATURE.match(text)
        or inline
    )
