"""Which chord does a symbol on the music stand mean?

A symbol is a root (`A`-`G`, at most one accidental, which the root always takes: `Bb7` is
a seventh chord on B flat, `C#5` a power chord on C sharp), a quality and, after a slash, a
bass note. Nothing is guessed: what cannot be read, and what musicians read in two ways
(`C2`, `C+9`, `C7alt`), is refused with the place and the nearest spelling.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache

from evaluator.errors import EvaluatorError
from evaluator.theory.pitch import NoteName, parse_note
from evaluator.theory.qualities import QUALITIES, SPELLINGS, Tone
from evaluator.theory.spelling import Unreadable, read_quality

# One sign for one sign, so that places in the text stay where they are.
_SIGNS = str.maketrans("♯♭−–ºØ∅△∆", "#b--°øøΔΔ")
_ROOT = re.compile(r"[A-G][#b]?")
# A slash is part of the quality only in 6/9 (and where somebody meant 7/9).
_BODY = re.compile(r"(?:[^/]|/(?=9))*")
_BASS = re.compile(r"[A-G](?:##?|bb?)?")
# Written now and then, but read in two ways or not a spelling here. Common practice, no source.
_NEAR_MISSES = {"2": "sus2", "4": "sus4", "7/9": "9", "m7/9": "m9", "7/13": "13", "+9": "9#5"}


class ChordSymbolError(EvaluatorError):
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
    except Unreadable as fault:
        raise ChordSymbolError(
            fault.message, text=text, column=fault.column, suggestion=_suggest(text)
        ) from None


def _read(text: str) -> ChordSymbol:
    plain = text.translate(_SIGNS)
    root = _ROOT.match(plain)
    if root is None:
        found = f"not with {text[0]!r}" if text else "but there is nothing"
        raise Unreadable(0, f"A chord begins with a letter from A to G, {found}.")
    body = _BODY.match(plain, root.end())
    assert body is not None  # it matches the empty text too
    quality = read_quality(body.group(), text, root.end())
    return ChordSymbol(
        text, parse_note(root.group()), quality.name, _read_bass(text, body.end()), quality.tones
    )


def _read_bass(text: str, slash: int) -> NoteName | None:
    if slash == len(text):
        return None
    if slash == len(text) - 1:
        raise Unreadable(slash, f"{text!r} has no bass note after its slash.")
    plain = text.translate(_SIGNS)
    bass = _BASS.match(plain, slash + 1)
    column = slash + 1 if bass is None else bass.end()
    if bass is None or column < len(text):
        raise Unreadable(column, f"After the slash of {text!r} belongs one bass note.")
    return parse_note(bass.group())


def is_chord(text: str) -> bool:
    """Whether a text is a chord symbol."""
    try:
        _read(text)
    except Unreadable:
        return False
    return True


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
        if is_chord(root.group() + quality + end):
            return root.group() + quality + end
    return None


def _as_letter(text: str) -> str:
    """The text with a note letter as it is written here: capital, B for the German H."""
    return {"H": "B", "h": "B"}.get(text[:1], text[:1].upper()) + text[1:]


def _nearest(quality: str) -> Iterator[str]:
    """Spellings of a quality that cannot be read as it stands, the likeliest first."""
    import difflib  # only a mistake needs it

    yield _NEAR_MISSES.get(quality, quality)
    meant = SPELLINGS.get(quality.replace("dom", "").replace("^", "Δ"))
    if meant:  # C^7 and Cdom7, common practice, no source
        yield meant.name
    bare = re.sub(r"[(), ]", "", quality)
    yield bare
    for spellings in ([known.name for known in QUALITIES], list(SPELLINGS)):
        yield from difflib.get_close_matches(bare, spellings, n=3, cutoff=0.6)
