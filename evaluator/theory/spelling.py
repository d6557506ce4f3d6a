"""Which quality do the signs after a root spell?

The longest spelling of the table that leaves something readable, and then any of
    sus2, sus4, sus           in the place of the third
    b5 #5 b9 #9 #11 b13       in the place of the plain degree, or added (`7-9`, `7+9` too)
    add9, add#11, ...         one tone more; inside parentheses `add` may be left off
    no3, no5                  one tone less
in or out of parentheses. A combination with a row of its own in the table becomes that row;
another gets a name made of its parts in a fixed order, so that every way of writing it is
one quality. Spellings: common practice of lead sheets, no source.
"""

import re
from dataclasses import dataclass, replace

from evaluator.errors import EvaluatorError
from evaluator.theory.qualities import BASES, SPELLINGS, Quality, Tone, read_tone

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


class Unreadable(EvaluatorError):  # noqa: N818 - an outcome of reading
    """Reading stopped at a column, and why."""

    def __init__(self, column: int, message: str) -> None:
        super().__init__(message)
        self.column = column
        self.message = message


def read_quality(body: str, text: str, offset: int) -> Quality:
    """The quality of a body that begins at `offset` of `text`: longest base first.

    Raises:
        Unreadable: with the column in `text`.
    """
    if body[:1] in ("#", "b"):
        raise Unreadable(
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
        except Unreadable as fault:
            if fault.column > furthest:
                furthest, message = fault.column, fault.message
    column = offset + furthest
    raise Unreadable(
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
            raise Unreadable(at, "")
        if match.lastgroup is not None:
            modifiers.append(_as_modifier(match))
        at = match.end()
    if opened is not None:
        raise Unreadable(opened, "The parenthesis is not closed.")
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
    raise Unreadable(
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
