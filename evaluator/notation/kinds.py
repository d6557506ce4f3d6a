"""How are the chords of MusicXML and the chords of a chart told in each other's words?

MusicXML names a chord by its kind and the degrees that differ from it. The tones of the
kinds follow the words of MusicXML 4.0 (W3C, musicxml.xsd, simpleType kind-value); an
added degree counts from a dominant chord, so that a plain 7 is minor, an altered one from
the kind (element degree-alter). Going out, the kind that needs fewest degrees is taken;
coming in, the degrees are put together and looked up among the chart's qualities.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from evaluator.theory.qualities import QUALITIES, Tone, read_tone
from evaluator.theory.symbol import ChordSymbol, is_chord, parse_chord

_KINDS: dict[str, str] = {
    "major": "1 3 5",
    "minor": "1 b3 5",
    "augmented": "1 3 #5",
    "diminished": "1 b3 b5",
    "power": "1 5",
    "suspended-second": "1 2 5",
    "suspended-fourth": "1 4 5",
    "major-sixth": "1 3 5 6",
    "minor-sixth": "1 b3 5 6",
    "dominant": "1 3 5 b7",
    "major-seventh": "1 3 5 7",
    "minor-seventh": "1 b3 5 b7",
    "major-minor": "1 b3 5 7",
    "diminished-seventh": "1 b3 b5 bb7",
    "augmented-seventh": "1 3 #5 b7",
    "half-diminished": "1 b3 b5 b7",
    "dominant-ninth": "1 3 5 b7 9",
    "major-ninth": "1 3 5 7 9",
    "minor-ninth": "1 b3 5 b7 9",
    "dominant-11th": "1 3 5 b7 9 11",
    "major-11th": "1 3 5 7 9 11",
    "minor-11th": "1 b3 5 b7 9 11",
    "dominant-13th": "1 3 5 b7 9 11 13",
    "major-13th": "1 3 5 7 9 11 13",
    "minor-13th": "1 b3 5 b7 9 11 13",
}
# The chart's thirteenths have no natural eleventh; they are these kinds all the same.
_NAMED = {"dominant-13th": "13", "major-13th": "maj13"}
# As programs write them besides: a slip that is met in files, and a library's own names.
_ALSO = {
    "minor-major": "major-minor",
    "minor-major-seventh": "major-minor",
    "dominant-seventh": "dominant",
    "half-diminished-seventh": "half-diminished",
    "augmented-dominant-seventh": "augmented-seventh",
}
_ADDED_FROM_DOMINANT = {2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 10, 9: 14, 11: 17, 13: 21}
_OCTAVE_HIGHER = {2: 9, 4: 11, 6: 13}

_TONES = {kind: tuple(map(read_tone, tones.split())) for kind, tones in _KINDS.items()}


@dataclass(frozen=True, slots=True)
class Degree:
    """A difference from the kind, as MusicXML writes it."""

    how: str
    """`add`, `alter` or `subtract`."""
    degree: int
    alter: int


def quality_of(kind: str, degrees: Sequence[Degree], text: str = "") -> str | None:
    """The chart's spelling of what follows the root, None for a chord that it cannot write.

    `text` is what the score prints for the kind; it is believed where the kind is none
    of the table, as `other` with the text `7alt`.
    """
    kind = _ALSO.get(kind, kind)
    if kind not in _TONES:
        return text if text and is_chord("C" + text) else None
    if not degrees:
        return _NAMED.get(kind) or _match(_TONES[kind])
    tones = {tone.degree: tone.semitones for tone in _TONES[kind]}
    if kind in _NAMED:
        tones.pop(11)
    added = []
    for degree in degrees:
        if degree.how == "subtract":
            tones.pop(degree.degree, None)
        elif degree.how == "alter" and degree.degree in tones:
            tones[degree.degree] += degree.alter
        elif degree.degree in _ADDED_FROM_DOMINANT:
            semitones = _ADDED_FROM_DOMINANT[degree.degree] + degree.alter
            added.append(Tone(degree.degree, semitones))
    put_together = [Tone(degree, semitones) for degree, semitones in tones.items()]
    return _match([*put_together, *added]) or _composed(kind, degrees)


def _match(tones: Sequence[Tone]) -> str | None:
    """The quality with exactly these tones: by degrees, or else by what sounds."""
    degrees = {(_OCTAVE_HIGHER.get(t.degree, t.degree), t.semitones % 12) for t in tones}
    sounding = {semitones for _, semitones in degrees}
    for quality in QUALITIES:
        if degrees == {
            (_OCTAVE_HIGHER.get(t.degree, t.degree), t.semitones % 12) for t in quality.tones
        }:
            return quality.name
    for quality in QUALITIES:
        if sounding == {t.semitones % 12 for t in quality.tones}:
            return quality.name
    return None


_MODIFIERS = {"add": "add", "alter": "", "subtract": "no"}


def _composed(kind: str, degrees: Sequence[Degree]) -> str | None:
    """The kind's quality and a modifier for each degree: `7` and `no3`."""
    base = _NAMED.get(kind) or _match(_TONES[kind])
    if base is None:
        return None
    parts = []
    for degree in degrees:
        sign = "#" * max(0, degree.alter) + "b" * max(0, -degree.alter)
        parts.append(f"{_MODIFIERS[degree.how]}{sign}{degree.degree}")
    text = f"{base}({','.join(parts)})" if parts[0][:1] in "#b" else base + "".join(parts)
    return parse_chord("C" + text).quality if is_chord("C" + text) else None


def kind_of(chord: ChordSymbol) -> tuple[str, tuple[Degree, ...]]:
    """The kind of a chart's chord and the degrees that differ from it, fewest first."""
    for kind, name in _NAMED.items():
        if chord.quality == name:
            return kind, ()
    known = [(tuple(_differences(tones, chord.chord)), kind) for kind, tones in _TONES.items()]
    known.sort(key=lambda one: len(one[0]))
    for degrees, kind in known:
        if quality_of(kind, degrees) == chord.quality:
            return kind, degrees
    return known[0][1], known[0][0]


def _differences(kind: Sequence[Tone], wanted: Sequence[Tone]) -> Iterator[Degree]:
    have = {tone.degree: tone.semitones for tone in kind}
    rest = list(wanted)
    for degree, semitones in have.items():
        same = [tone for tone in rest if tone.degree == degree]
        if not same:
            yield Degree("subtract", degree, 0)
            continue
        # A degree that the chord has twice is altered once and added once.
        near = min(same, key=lambda tone: abs(tone.semitones - semitones))
        rest.remove(near)
        if near.semitones != semitones:
            yield Degree("alter", degree, near.semitones - semitones)
    for tone in rest:
        alter = tone.semitones - _ADDED_FROM_DOMINANT[tone.degree]
        yield Degree("add", tone.degree, alter)
