"""Which tones has a chord of this quality, and which of them may be left out?

One row a quality. The tones of a row follow, where they know the quality,
    [X] the `kind` values of MusicXML 4.0 (W3C, musicxml.xsd, simpleType kind-value), and
    [H] Harte, Sandler, Abdallah, Gomez (2005), "Symbolic representation of musical
        chords", ISMIR, table of shorthands;
rows marked [C] are common practice of lead sheets, no source. One row goes against [X]:
the natural eleventh is no tone of 13 and maj13, whose third it would grate on [C].

What may be left out is common practice, no source:
    a chord of up to three tones needs them all;
    the perfect fifth may be missing from larger ones, an altered fifth not;
    the extension that names the chord is needed (the 9 of a 9, the 13 of a 13), those
    below it are not; the third of 11 and maj11 may be missing, as it usually is.

Spellings: `{m}` and `{maj}` stand for each of the signs for minor and major; a quality
is what follows the root, so major is the empty string.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

_MINOR_SIGNS = ("m", "min", "Min", "MIN", "mi", "Mi", "MI", "-")
_MAJOR_SIGNS = ("maj", "Maj", "MAJ", "ma", "Ma", "MA", "M")

_PLAIN_SEMITONES = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 14, 11: 17, 13: 21}


@dataclass(frozen=True, slots=True)
class Tone:
    """One tone of a chord: its degree, and how far above the root it lies."""

    degree: int
    """1, 2, 3, 4, 5, 6, 7, 9, 11 or 13."""
    semitones: int
    """Above the root; 12 and more for 9, 11 and 13."""
    optional: bool = False
    """May be left out, and the chord is still this chord."""


@dataclass(frozen=True, slots=True)
class Quality:
    """A kind of chord on no root in particular."""

    name: str
    """Canonical spelling, as it follows the root; empty for major."""
    tones: tuple[Tone, ...]
    rarity: int = 0
    """0 plain, 1 a common colour, 2 and more special: which of two names a musician says first."""


def read_tone(text: str, *, optional: bool = False) -> Tone:
    """A tone from its degree: "3", "b7", "#11", "bb7"."""
    number = text.lstrip("b#")
    signs = text[: len(text) - len(number)]
    semitones = _PLAIN_SEMITONES[int(number)] + signs.count("#") - signs.count("b")
    return Tone(int(number), semitones, optional)


# name, tones, tones that may be missing, rarity, spellings besides the name
_ROWS: tuple[tuple[str, str, str, int, str], ...] = (
    # Three tones and fewer. [X] [H]; 5 is [X] power, sus2 [X] suspended-second
    ("", "1 3 5", "", 0, "{maj}"),
    ("m", "1 b3 5", "", 0, "{m}"),
    ("dim", "1 b3 b5", "", 0, "° o {m}b5"),
    ("aug", "1 3 #5", "", 0, "+ (#5)"),
    ("sus4", "1 4 5", "", 1, "sus {m}sus4 {m}sus"),
    ("sus2", "1 2 5", "", 2, "{m}sus2"),
    ("5", "1 5", "", 0, "no3"),
    # Sixths. [X] [H]; with the ninth [C]
    ("6", "1 3 5 6", "5", 1, "{maj}6 add6 add13"),
    ("m6", "1 b3 5 6", "5", 1, "{m}6 {m}add6 {m}add13"),
    ("69", "1 3 5 6 9", "5", 1, "6/9 {maj}69 {maj}6/9 6add9"),
    ("m69", "1 b3 5 6 9", "5", 1, "{m}69 {m}6/9 m6add9"),
    # Sevenths. [X] [H]; mMaj7 is [X] major-minor, [H] minmaj7
    ("7", "1 3 5 b7", "5", 0, ""),
    ("maj7", "1 3 5 7", "5", 0, "{maj}7 Δ Δ7"),
    ("m7", "1 b3 5 b7", "5", 0, "{m}7"),
    ("mMaj7", "1 b3 5 7", "5", 1, "{m}{maj}7 {m}({maj}7) {m}Δ {m}Δ7"),
    ("m7b5", "1 b3 b5 b7", "", 1, "{m}7b5 ø ø7"),
    ("dim7", "1 b3 b5 bb7", "", 1, "°7 o7"),
    ("aug7", "1 3 #5 b7", "", 1, "+7 7+ 7aug 7#5"),
    ("maj7#5", "1 3 #5 7", "", 2, "aug{maj}7 +{maj}7 +Δ7 +Δ"),  # [C]
    ("7b5", "1 3 b5 b7", "", 2, ""),  # [C]
    ("7sus4", "1 4 5 b7", "5", 1, "7sus {m}7sus4 {m}7sus"),  # [X] suspended-fourth + add 7
    # Ninths. [X] [H]; mMaj9 and 9sus4 [C]
    ("9", "1 3 5 b7 9", "5", 1, "7add9"),
    ("maj9", "1 3 5 7 9", "5", 1, "{maj}9 Δ9 maj7add9"),
    ("m9", "1 b3 5 b7 9", "5", 1, "{m}9 m7add9"),
    ("mMaj9", "1 b3 5 7 9", "5", 2, "{m}{maj}9 {m}({maj}9)"),
    ("9sus4", "1 4 5 b7 9", "5", 1, "9sus 7sus4add9"),
    # Elevenths. [X]
    ("11", "1 3 5 b7 9 11", "3 5 9", 2, "9add11"),
    ("maj11", "1 3 5 7 9 11", "3 5 9", 2, "{maj}11 Δ11 maj9add11"),
    ("m11", "1 b3 5 b7 9 11", "5 9", 1, "{m}11 m9add11"),
    # Thirteenths. [X] less the natural eleventh in major; minor with it; 13sus4 [C]
    ("13", "1 3 5 b7 9 13", "5 9", 1, "9add13 7add9add13"),
    ("maj13", "1 3 5 7 9 13", "5 9", 1, "{maj}13 Δ13 maj9add13 maj7add9add13"),
    ("m13", "1 b3 5 b7 9 11 13", "5 9 11", 2, "{m}13"),
    ("13sus4", "1 4 5 b7 9 13", "5 9", 2, "13sus 9sus4add13"),
)

# Rows that are an earlier row and a modifier: known by name, never the base of another.
_COMPOSED_ROWS: tuple[tuple[str, str, str, int, str], ...] = (
    # Triads with one tone more. [X] major or minor + add 9, add 11
    ("add9", "1 3 5 9", "5", 1, "add2"),
    ("madd9", "1 b3 5 9", "5", 1, "{m}add9 {m}add2"),
    ("add11", "1 3 5 11", "5", 2, "add4"),
    ("madd11", "1 b3 5 11", "5", 2, "{m}add11 {m}add4"),
    ("sus2sus4", "1 2 4 5", "5", 3, "sus4sus2 sus24"),  # [C]
    # Alterations that are often met. [C]
    ("7b9", "1 3 5 b7 b9", "5", 1, ""),
    ("7#9", "1 3 5 b7 #9", "5", 1, ""),
    ("7#11", "1 3 5 b7 #11", "5", 2, ""),
    ("7b13", "1 3 5 b7 b13", "5", 2, ""),
    ("7b5b9", "1 3 b5 b7 b9", "", 2, ""),
    ("7#5b9", "1 3 #5 b7 b9", "", 2, ""),
    ("7#5#9", "1 3 #5 b7 #9", "", 2, ""),
    ("7b9b13", "1 3 5 b7 b9 b13", "5", 2, ""),
    ("7sus4b9", "1 4 5 b7 b9", "5", 2, ""),
    ("9b5", "1 3 b5 b7 9", "", 2, ""),
    ("9#5", "1 3 #5 b7 9", "", 2, "aug9"),
    ("9#11", "1 3 5 b7 9 #11", "5", 2, ""),
    ("13b9", "1 3 5 b7 b9 13", "5", 2, ""),
    ("13#11", "1 3 5 b7 9 #11 13", "5 9", 2, ""),
    ("maj7#11", "1 3 5 7 #11", "5", 2, ""),
    ("maj9#11", "1 3 5 7 9 #11", "5", 2, ""),
)


def _read_row(row: tuple[str, str, str, int, str]) -> Quality:
    name, tones, missing, rarity, _ = row
    optional = missing.split()
    return Quality(
        name, tuple(read_tone(tone, optional=tone in optional) for tone in tones.split()), rarity
    )


def _spellings(row: tuple[str, str, str, int, str]) -> Iterator[str]:
    name, _, _, _, templates = row
    yield name
    for template in templates.split():
        minors = _MINOR_SIGNS if "{m}" in template else ("",)
        majors = _MAJOR_SIGNS if "{maj}" in template else ("",)
        for minor, major in product(minors, majors):
            yield template.format(m=minor, maj=major)


_ALL_ROWS = _ROWS + _COMPOSED_ROWS

QUALITIES: tuple[Quality, ...] = tuple(_read_row(row) for row in _ALL_ROWS)
"""Every quality of the tables, in their order."""

_BY_NAME = {quality.name: quality for quality in QUALITIES}

SPELLINGS: dict[str, Quality] = {
    spelling: _BY_NAME[row[0]] for row in _ALL_ROWS for spelling in _spellings(row)
}
"""The quality behind each way of writing it."""

BASES: dict[str, Quality] = {
    spelling: _BY_NAME[row[0]] for row in _ROWS for spelling in _spellings(row)
}
"""Those spellings that a modifier may follow."""
