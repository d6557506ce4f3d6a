"""What stands on a line of chords?

Chords one after another, perhaps with bar lines, a slash for each further beat, how often
the line comes, and what else is written beside chords: `let ring`, `hold`, `fade`. Names of
notes are read as in German where H is among them.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from evaluator.theory.symbol import ChordSymbol, ChordSymbolError, parse_chord

MOST_TIMES = 64
"""Of a line or a section again."""

TIMES = r"(?:x\s?(\d{1,2})|(\d{1,2})\s?x|(\d{1,2}) times|(twice))"
_IN_FRONT = re.compile(r"(\d{1,2})\s?x\s+(?=[^\W\d])", re.I)
_AT_END = re.compile(rf"(?:^|(?<=\s)|[(\[]\s*){TIMES}\s*[)\]]?$", re.I)
_INSIDE = re.compile(rf"(?:^|[\s,;]+){TIMES}(?=$|[\s,;])", re.I)
_AGAIN = re.compile(r"repeat|again|repeat once|once more", re.I)
_BRACKET = re.compile(r"\(([^()]*)\)")
_ARROW = re.compile(r"\s+(?:<[-=]+|←)\s*(.+)")
_BARS = frozenset("|‖│¦")
_FILLER = frozenset({"-", "–", "—", ".", ",", "...", "…", "~", "*", "->", "→", "&", "+"})
_DASH = re.compile(r"[-–—>,;]+")
_SAME = frozenset({"%", "℅", "./."})
_NO_CHORD = frozenset({"n.c.", "n.c", "nc", "(n.c.)"})
TABLATURE = re.compile(r"^[A-Ga-g]?\s*\|[-\d|hpbs/\\~x]*-[-\d|hpbs/\\~x]*$")
_LOOKS_LIKE_CHORD = re.compile(r"[A-H][#b♯♭]?(?:m|M|maj|min|dim|aug|sus|add|dom|[\^°øΔ\d/+(-])\S*")
_SMALL = re.compile(r"([a-h])([#b♯♭]?)([67]?)")
"""A minor chord, where minor is told from major by small letters."""
_SPACED_SMALL = re.compile(r"(?:[a-h][#b♯♭]?[67]?(?:\s{3,}|$))+")
"""Minor chords alone, far apart as words never are."""
_MOST_CHORDS = 0.6
"""Of the signs of a line, for it to be one of chords although some cannot be read."""


@dataclass(frozen=True, slots=True)
class ChordSign:
    """What stands where a chord should: read, or read as something near it."""

    chord: ChordSymbol | None
    text: str
    read: bool
    """Whether the text is a chord as it stands."""
    beats: int = 1
    """With the slashes behind it."""


@dataclass(frozen=True, slots=True)
class ChordRow:
    """A line of chords."""

    bars: tuple[tuple[ChordSign, ...], ...]
    """In groups where the line has bar lines, else one by one."""
    barred: bool
    count: int
    unread: tuple[str, ...]
    """Signs that are no chords and were left out."""
    notes: tuple[str, ...] = ()
    """What is written beside the chords."""


def with_times(text: str) -> tuple[str, int]:
    """A text without the `x2` at its end or the `2x` before it, and the number."""
    text = text.strip()
    if found := _AT_END.search(text):
        return text[: found.start()].strip(), _number(found)
    if found := _IN_FRONT.match(text):
        return text[found.end() :], _number(found)
    return text, 1


def _number(found: re.Match[str]) -> int:
    number = next(filter(str.isdigit, filter(None, found.groups())), None)
    return min(MOST_TIMES, max(1, int(number))) if number else 2


def read_chords(text: str, german: bool) -> ChordRow | None:
    """A line of chords, or None if it is none."""
    if TABLATURE.match(text):
        return None
    text, notes, count = _without_notes(text, german)
    text, at_end = with_times(text)
    if re.search(r":\s*[|‖]", text):  # a repeat sign
        at_end = max(2, at_end)
    groups, unread, barred = _groups(text, german)
    behind = _behind(text, unread)
    unread = unread[: len(unread) - len(behind)]
    chords = [chord for group in groups for chord in group]
    read = sum(chord.read for chord in chords)
    if not read and len(chords) > 1 and _SPACED_SMALL.fullmatch(text.strip()):
        read = len(chords)
    like = read + sum(_near(c.text) for c in chords if not c.read)
    if not read or like < _MOST_CHORDS * (len(chords) + len(unread) + len(behind)):
        return None
    if _AGAIN.fullmatch(said := " ".join(behind)):
        count = max(2, count)
    elif said:
        notes = (*notes, said)
    bars = groups if barred else [[chord] for chord in chords]
    times = max(count, at_end)
    return ChordRow(tuple(map(tuple, bars)), barred, times, tuple(unread), notes)


def _without_notes(text: str, german: bool) -> tuple[str, tuple[str, ...], int]:
    """The line without what is said in brackets, that, and how often the brackets want it."""
    notes: list[str] = []
    count = 1

    def cut(found: re.Match[str]) -> str:
        nonlocal count
        inside = found[1].strip()
        if inside.casefold() in _NO_CHORD or _all_chords(inside, german):
            return found[0]
        before, behind = text[: found.start()], text[found.end() :]
        if (name := re.search(r"[^\s|]+$", before)) and (
            is_chord(name[0] + found[0]) or behind[:1].strip()
        ):
            return found[0]  # within a chord's name
        times = _INSIDE.search(inside)
        count = max(count, _number(times) if times else 1, 2 if _AGAIN.fullmatch(inside) else 1)
        rest = _INSIDE.sub("", inside).strip(" ,;")
        if rest and not _AGAIN.fullmatch(rest):
            notes.append(rest)
        return " "

    if pointed := _ARROW.search(text):
        text = text[: pointed.start()]
        notes.append(pointed[1])
    return _BRACKET.sub(cut, text).rstrip(), tuple(notes), count


def _all_chords(text: str, german: bool) -> bool:
    signs = [sign for sign in text.split() if sign not in _FILLER]
    return bool(signs) and all(_sign(sign, german) is not None for sign in signs)


def _groups(text: str, german: bool) -> tuple[list[list[ChordSign]], list[str], bool]:
    """Chords between bar lines, what is no chord, and whether there are bar lines."""
    groups: list[list[ChordSign]] = [[]]
    unread: list[str] = []
    barred = False
    for sign in _signs(text):
        if sign in _BARS:
            barred = True
            groups.append([])
        elif not sign.strip("/"):
            if groups[-1]:
                last = groups[-1][-1]
                groups[-1][-1] = replace(last, beats=last.beats + len(sign))
        elif sign in _SAME:
            groups[-1] += next((group for group in groups[-2::-1] if group), [])
        elif sign not in _FILLER and sign.strip("/.-–—:"):
            chord = _sign(sign, german)
            if chord is None:
                unread.append(sign)
            else:
                groups[-1].append(chord)
    return [group for group in groups if group], unread, barred


def _signs(text: str) -> list[str]:
    for bar in _BARS:
        text = text.replace(bar, " | ")
    signs = re.sub(r"[|]\s*:|:\s*[|]", " | ", text).split()
    return [part for sign in signs for part in _parted(sign)]


def _parted(sign: str) -> list[str]:
    """The chords of a sign such as G-D-Em, which is none itself."""
    parts = [part for part in _DASH.split(sign) if part]
    return parts if len(parts) > 1 and all(map(is_chord, parts)) and not is_chord(sign) else [sign]


def _behind(text: str, unread: Sequence[str]) -> list[str]:
    """The words behind the last chord."""
    found: list[str] = []
    for sign in reversed(_signs(text)):
        if len(found) == len(unread) or sign != unread[-1 - len(found)] or _near(sign):
            break
        found.append(sign)
    return found[::-1]


def _near(sign: str) -> bool:
    return any(one.fullmatch(sign) for one in (_LOOKS_LIKE_CHORD, _SMALL))


def has_german_notes(rows: Sequence[str]) -> bool:
    """Whether the chords are named in German, H for B and B for B flat."""
    return any(
        re.search(r"(?:^|\s)(?:[A-G]\w*/)?H(?:m|7|m7|\s|$)", row)
        and read_chords(row.strip(), True) is not None
        for row in rows
    )


def is_chord(text: str) -> bool:
    """Whether a text is the name of a chord."""
    sign = _sign(text.strip(), german=False)
    return sign is not None and sign.read


def _sign(text: str, german: bool) -> ChordSign | None:
    if text.casefold() in _NO_CHORD:
        return ChordSign(None, text, True)
    bare = text.strip(",;:*<>'\"!")
    if bare.startswith("(") and bare.endswith(")"):
        bare = bare[1:-1]
    small = _SMALL.fullmatch(bare)
    if small:
        bare = f"{small[1].upper()}{small[2]}m{small[3]}"
    if german:
        bare = _from_german(bare)
    try:
        return ChordSign(parse_chord(bare), text, not small)
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
