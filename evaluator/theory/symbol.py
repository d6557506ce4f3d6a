"""Which chord does a symbol on the music stand mean?

A symbol is a root (`A`-`G`, at most one accidental, which the root always takes: `Bb7` is
a seventh chord on B flat, `C#5` a power chord on C sharp), a quality and, after a slash, a
bass note. A quality is a spelling of the table in `qualities`, the longest that leaves
something readable, and then any of
    sus2, sus4, sus           in the place of the third
    b5 #5 b9 #9 #11 b13       in the place of the plain degree, or added (`7-9`, `7+9` too)
    add9, add#11, ...         one tone more; inside parentheses `add` may be left off
    no3, no5                  one tone less
in or out of parentheses. Nothing is guessed: what cannot be read, and what musicians read
in two ways (`C2`, `C+9`, `C7alt`), is refused with the place and the nearest spelling.
"""

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache

from evaluator.theory.pitch import NoteName, parse_note
from evaluator.theory.qualities import BASES, QUALITIES, SPELLINGS, Quality, Tone, read_tone

# One sign for one sign, so that places in the text stay where they are.
_SIGNS = str.maketrans("♯♭−–ºØ∅△∆", "#b--°øøΔΔ")
_ROOT = re.compile(r"[A-G][#b]?")
# A slash is part of the quality only in 6/9 (and where somebody meant 7/9).
_BODY = re.compile(r"(?:[^/]|/(?=9))*")
_BASS = re.compile(r"[A-G](?:##?|bb?)?")
_MODIFIER = re.compile(
    r"(?P<sus>sus)(?P<sus_degree>[24])?"
    r"|(?P<altered>(?:[b-](?:5|9|13))|(?:[#+](?:5|9|11)))"
    r"|add(?P<added>2|4|6|9|11|13|b9|#9|#11|b13)"
    r"|(?:no|omit)(?P<left_out>[35])"
)
_TENSION = re.compile(r"(?P<added>9|11|13)")
_SEPARATOR = re.compile(r"[, ]+")
_LONGEST_BASE = max(map(len, BASES))

_OCTAVE_HIGHER = {"2": "9", "4": "11", "6": "13"}
_NATURAL_FIFTH = 7
# Taken apart before more is altered, so that aug7b9 and 7#5b9 are one quality.
_STEMS = {"aug7": ("7", "#5")}
_ORDER = ("sus", "altered", "added", "left_out")

# Written now and then, but read in two ways or not a spelling here. Common practice, no source.
_NEAR_MISSES = {"2": "sus2", "4": "sus4", "7/9": "9", "m7/9": "m9", "7/13": "13", "+9": "9#5"}


class ChordSymbolError(ValueError):
    """A text that is no chord symbol; `str()` is one plain sentence."""

    def __init__(self, message: str, *, text: str, column: int, suggestion: str | None) -> None:
        super().__init__(message)
        self.text = text
        self.column = column
        """Offset of the first bad character within `text`."""
        self.suggestion = suggestion
        """The nearest spelling that can be read, or None."""


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord of the chart. Two symbols are equal when root, quality and bass are."""

    text: str = field(compare=False)
    """As written: `Amin7/G`."""
    root: NoteName
    quality: str
    """Canonical spelling of what follows the root, empty for major: `m7`."""
    bass: NoteName | None
    """Note after the slash, chord tone or not; None without a slash."""
    chord: tuple[Tone, ...] = field(compare=False, repr=False)
    """Tones above the root, the slash bass not among them."""
    essential: frozenset[int] = field(init=False, compare=False, repr=False)
    """Pitch classes without which it is not this chord."""
    optional: frozenset[int] = field(init=False, compare=False, repr=False)
    """Pitch classes that belong to it and may be left out."""
    tones: frozenset[int] = field(init=False, compare=False, repr=False)
    """Essential and optional pitch classes together."""

    def __post_init__(self) -> None:
        root = self.root.pc
        essential = frozenset((root + t.semitones) % 12 for t in self.chord if not t.optional)
        tones = frozenset((root + t.semitones) % 12 for t in self.chord)
        object.__setattr__(self, "essential", essential)
        object.__setattr__(self, "optional", tones - essential)
        object.__setattr__(self, "tones", tones)

    @property
    def name(self) -> str:
        """Canonical spelling without the slash bass: `Am7`."""
        return self.root.text + self.quality

    @property
    def bass_pc(self) -> int:
        """Pitch class of the slash bass, or of the root."""
        return (self.bass or self.root).pc

    def without_bass(self) -> "ChordSymbol":
        """The same chord with no slash bass."""
        if self.bass is None:
            return self
        return replace(self, text=self.text.rpartition("/")[0], bass=None)

    def degree(self, n: int) -> int | None:
        """Pitch class of a degree of the chord, None where it has no such degree.

        1 is the root, 3 the third or the sus tone in its place, 5 the fifth however
        altered, 7 the seventh or, in sixth chords, the sixth (the fourth tone upward);
        8 is the slash bass, or the root, an octave up.
        """
        if n == 8:
            return self.bass_pc
        for number in _DEGREES_COUNTED_AS.get(n, ()):
            for tone in self.chord:
                if tone.degree == number:
                    return (self.root.pc + tone.semitones) % 12
        return None


_DEGREES_COUNTED_AS = {1: (1,), 3: (3, 4, 2), 5: (5,), 7: (7, 6)}


@lru_cache(maxsize=4096)
def parse_chord(text: str) -> ChordSymbol:
    """Read a chord symbol.

    Raises:
        ChordSymbolError: the text is not one, with the place and the nearest spelling.
    """
    try:
        return _read(text)
    except _Unreadable as fault:
        raise ChordSymbolError(
            fault.message, text=text, column=fault.column, suggestion=_suggest(text)
        ) from None


class _Unreadable(Exception):  # noqa: N818 - an outcome of reading, made a ChordSymbolError above
    """Reading stopped at a column, and why."""

    def __init__(self, column: int, message: str) -> None:
        super().__init__(message)
        self.column = column
        self.message = message


def _read(text: str) -> ChordSymbol:
    plain = text.translate(_SIGNS)
    root = _ROOT.match(plain)
    if root is None:
        found = f"not with {text[0]!r}" if text else "but there is nothing"
        raise _Unreadable(0, f"A chord begins with a letter from A to G, {found}.")
    body = _BODY.match(plain, root.end())
    assert body is not None  # it matches the empty text too
    quality = _read_quality(body.group(), text, root.end())
    return ChordSymbol(
        text, parse_note(root.group()), quality.name, _read_bass(text, body.end()), quality.tones
    )


def _read_bass(text: str, slash: int) -> NoteName | None:
    if slash == len(text):
        return None
    if slash == len(text) - 1:
        raise _Unreadable(slash, f"{text!r} has no bass note after its slash.")
    plain = text.translate(_SIGNS)
    bass = _BASS.match(plain, slash + 1)
    column = slash + 1 if bass is None else bass.end()
    if bass is None or column < len(text):
        raise _Unreadable(column, f"After the slash of {text!r} belongs one bass note.")
    return parse_note(bass.group())


def _read_quality(body: str, text: str, offset: int) -> Quality:
    """The quality of a body that begins at `offset` of `text`: longest base first."""
    if body[:1] in ("#", "b"):
        raise _Unreadable(
            offset, f"A root takes one accidental; put an altered fifth in brackets: {text!r}."
        )
    if body in SPELLINGS:
        return SPELLINGS[body]
    furthest, message = -1, ""
    for length in range(min(len(body), _LONGEST_BASE), -1, -1):
        base = BASES.get(body[:length])
        if base is None:
            continue
        try:
            return _modified(base, _read_modifiers(body, length))
        except _Unreadable as fault:
            if fault.column > furthest:
                furthest, message = fault.column, fault.message
    column = offset + furthest
    raise _Unreadable(
        column, message or f"{text[column:]!r} cannot be read after {text[:column]!r}."
    )


@dataclass(frozen=True, slots=True)
class _Modifier:
    kind: str
    """One of `_ORDER`."""
    tone: str
    """The degree with its sign: "4", "b9", "13"."""
    column: int

    @property
    def name(self) -> str:
        prefix = {"sus": "sus", "altered": "", "added": "add", "left_out": "no"}[self.kind]
        return prefix + self.tone


def _read_modifiers(body: str, at: int) -> list[_Modifier]:
    modifiers: list[_Modifier] = []
    opened: int | None = None
    while at < len(body):
        if opened is None and body[at] == "(":
            opened = at
            at += 1
            continue
        if opened is not None and body[at] == ")" and body[at - 1] != "(":
            opened = None
            at += 1
            continue
        match = _MODIFIER.match(body, at)
        if match is None and opened is not None:
            match = _TENSION.match(body, at) or _SEPARATOR.match(body, at)
        if match is None:
            raise _Unreadable(at, "")
        if match.lastgroup is not None:
            modifiers.append(_as_modifier(match))
        at = match.end()
    if opened is not None:
        raise _Unreadable(opened, "The parenthesis is not closed.")
    return modifiers


def _as_modifier(match: re.Match[str]) -> _Modifier:
    kinds = match.groupdict()
    kind = next(kind for kind in _ORDER if kinds.get(kind))
    tone = kinds[kind]
    if kind == "sus":
        tone = kinds["sus_degree"] or "4"
    elif kind == "altered":
        tone = tone.replace("-", "b").replace("+", "#")
    elif kind == "added":
        tone = _OCTAVE_HIGHER.get(tone, tone)
    return _Modifier(kind, tone, match.start())


def _modified(base: Quality, modifiers: list[_Modifier]) -> Quality:
    """The base with its modifiers; the row of the table where that has a row of its own."""
    if not modifiers:
        return base
    for modifier in modifiers:
        _check_alteration(base, modifier)
    if base.name in _STEMS:
        stem, altered = _STEMS[base.name]
        base, modifiers = SPELLINGS[stem], [_Modifier("altered", altered, 0), *modifiers]
    ordered = sorted(modifiers, key=lambda m: (_ORDER.index(m.kind), read_tone(m.tone).semitones))
    name = base.name + "".join(modifier.name for modifier in ordered)
    if name[0] in "#b":  # An accidental straight after the root would be the root's.
        name = f"({name})"
    if name in SPELLINGS:
        return SPELLINGS[name]
    tones = base.tones
    touched: set[int] = set()
    for modifier in ordered:
        tones = _APPLY[modifier.kind](tones, read_tone(modifier.tone), touched)
    return Quality(name, _with_optional_fifth(tones), rarity=3)


def _check_alteration(base: Quality, modifier: _Modifier) -> None:
    """b9, #9, #11 and b13 belong on a seventh chord (#11 on a sixth chord, too)."""
    if modifier.kind != "altered" or modifier.tone in ("b5", "#5"):
        return
    degrees = {tone.degree for tone in base.tones}
    if 7 in degrees or (modifier.tone == "#11" and 6 in degrees):
        return
    raise _Unreadable(
        modifier.column,
        f"{modifier.tone} alters a seventh chord: write 7{modifier.tone}, or add{modifier.tone} "
        "for the tone alone.",
    )


def _suspend(tones: tuple[Tone, ...], tone: Tone, _: set[int]) -> tuple[Tone, ...]:
    return (*(t for t in tones if t.degree != 3), tone)


def _alter(tones: tuple[Tone, ...], tone: Tone, touched: set[int]) -> tuple[Tone, ...]:
    """In the place of its plain degree; a second alteration of that degree is added."""
    if tone.degree not in touched:
        tones = tuple(t for t in tones if t.degree != tone.degree)
        touched.add(tone.degree)
    return (*tones, tone)


def _add(tones: tuple[Tone, ...], tone: Tone, _: set[int]) -> tuple[Tone, ...]:
    return (*tones, tone)


def _leave_out(tones: tuple[Tone, ...], tone: Tone, _: set[int]) -> tuple[Tone, ...]:
    return tuple(t for t in tones if t.degree != tone.degree)


_APPLY = {"sus": _suspend, "altered": _alter, "added": _add, "left_out": _leave_out}


def _with_optional_fifth(tones: tuple[Tone, ...]) -> tuple[Tone, ...]:
    """The rule of the table for a quality made up here: the plain fifth of a large chord."""
    pitch_classes = {tone.semitones % 12 for tone in tones}
    return tuple(
        replace(tone, optional=tone.optional or len(pitch_classes) >= 4)
        if tone.semitones == _NATURAL_FIFTH
        else tone
        for tone in sorted(tones, key=lambda tone: tone.semitones)
    )


def _suggest(text: str) -> str | None:
    """The nearest text that can be read, None if there is none near."""
    plain = text.translate(_SIGNS)
    chord, slash, bass = plain.rpartition("/")
    if not slash or bass == "9":
        chord, slash, bass = plain, "", ""
    chord, bass = _as_letter(chord), _as_letter(bass)
    root = _ROOT.match(chord)
    if root is None:
        return None
    end = slash + bass if _BASS.fullmatch(bass) else ""
    for quality in _nearest(chord[root.end() :]):
        if quality[:1] in ("#", "b"):  # It would be read as the root's.
            quality = f"({quality})"
        if _readable(root.group() + quality + end):
            return root.group() + quality + end
    return None


def _as_letter(text: str) -> str:
    """The text with a note letter as it is written here: capital, B for the German H."""
    return {"H": "B", "h": "B"}.get(text[:1], text[:1].upper()) + text[1:]


def _nearest(quality: str) -> Iterator[str]:
    """Spellings of a quality that cannot be read as it stands, the likeliest first."""
    yield _NEAR_MISSES.get(quality, quality)
    bare = re.sub(r"[(), ]", "", quality)
    yield bare
    for spellings in ([known.name for known in QUALITIES], list(SPELLINGS)):
        yield from difflib.get_close_matches(bare, spellings, n=3, cutoff=0.6)


def _readable(text: str) -> bool:
    try:
        _read(text)
    except _Unreadable:
        return False
    return True
