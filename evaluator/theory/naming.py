"""What would a musician call these tones?

Every chord of the quality table on every root is tried: its essential tones must all be
there and nothing but its tones. The plainest name wins, by a sum of small costs: more
tones and rarer qualities cost, so does an inversion, a bass that is no chord tone, a
missing fifth. Sets with several names (C6 and Am7, Csus2 and Gsus4, aug, dim7)
are thereby called after their bass, and failing that after the chord that was expected.

The costs are a ranking, common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from evaluator.theory.pitch import NoteName, note_text, parse_note
from evaluator.theory.qualities import QUALITIES, Quality, Tone
from evaluator.theory.symbol import ChordSymbol

_TONE_BEYOND_THREE = 1.0
_RARITY = 0.3
_INVERSION = 1.0
_FOREIGN_BASS = 2.1  # C/D rather than Cadd9/D, but Cmaj7/B rather than C/B.
_MISSING_FIFTH = 3.0
_NEAR_ROOT = -0.4  # More than one step of rarity, less than an inversion: bass, then nearness.
_FEWEST_TONES_OVER_FOREIGN_BASS = 3


@dataclass(frozen=True, slots=True)
class _Shape:
    """A quality as pitch classes above its root."""

    quality: Quality
    essential: frozenset[int]
    tones: frozenset[int]
    cost: float


def _shape(quality: Quality) -> _Shape:
    essential = frozenset(t.semitones % 12 for t in quality.tones if not t.optional)
    tones = frozenset(t.semitones % 12 for t in quality.tones)
    beyond = max(0, len(tones) - 3)
    return _Shape(quality, essential, tones, _TONE_BEYOND_THREE * beyond + _RARITY * quality.rarity)


_SHAPES = tuple(_shape(quality) for quality in QUALITIES)


@lru_cache(maxsize=4096)
def name_chord(
    pcs: frozenset[int], bass: int | None, *, flats: bool, near: ChordSymbol | None = None
) -> str | None:
    """The name of a set of pitch classes: "Bm", "A/C#", "Gsus4", "D5".

    One note is called by its name, and a set that makes no chord by its notes from the bass
    upward ("D and F#"); no notes at all, None.

    Args:
        pcs: pitch classes, with or without the bass.
        bass: pitch class sounding in the bass, None if not known.
        flats: how the key spells black keys.
        near: the chord that was expected; its root keeps its spelling and decides between
            names that are equally good.
    """
    sounding = pcs if bass is None else pcs | {bass}
    if not sounding:
        return None
    candidates = list(_candidates(sounding, bass, near)) if len(sounding) > 1 else []
    if not candidates:
        return _note_list(sounding, bass, flats=flats, near=near)
    _, root, quality, named_bass = min(candidates, key=lambda candidate: candidate[0])
    root_name = _spelt(root, flats=flats, near=near)
    if named_bass is None or named_bass == root:
        return root_name.text + quality.name
    bass_name = _bass_name(root_name, quality, named_bass, flats=flats)
    return f"{root_name.text}{quality.name}/{bass_name.text}"


_Candidate = tuple[float, int, Quality, int | None]


def _candidates(
    sounding: frozenset[int], bass: int | None, near: ChordSymbol | None
) -> Iterator[_Candidate]:
    """Every way to name the set: cost, root, quality, bass."""
    shapes = _SHAPES
    if near is not None:
        # The expected quality may be one that no table lists.
        shapes += (_shape(Quality(near.quality, near.chord, rarity=3)),)
    upper = sounding - {bass}
    for root in sorted(sounding):
        bonus = _NEAR_ROOT if near is not None and near.root.pc == root else 0.0
        for shape in shapes:
            cost = _fit(shape, root, sounding)
            if cost is not None:
                inversion = 0.0 if bass in (None, root) else _INVERSION
                yield cost + inversion + bonus, root, shape.quality, bass
            if bass in (None, root) or len(upper) < _FEWEST_TONES_OVER_FOREIGN_BASS:
                continue
            cost = _fit(shape, root, upper)
            if (
                cost is not None and cost < _MISSING_FIFTH
            ):  # Six tones or a missing fifth are too much.
                yield cost + _FOREIGN_BASS + bonus, root, shape.quality, bass


def _fit(shape: _Shape, root: int, pcs: frozenset[int]) -> float | None:
    """What it costs to call the set this chord, None if it is not."""
    above = frozenset((pc - root) % 12 for pc in pcs)
    if not shape.essential <= above <= shape.tones:
        return None
    return shape.cost + (_MISSING_FIFTH if 7 in shape.tones - above else 0.0)


def _spelt(pc: int, *, flats: bool, near: ChordSymbol | None) -> NoteName:
    if near is not None and near.root.pc == pc:
        return near.root
    return parse_note(note_text(pc, flats=flats))


def _bass_name(root: NoteName, quality: Quality, bass: int, *, flats: bool) -> NoteName:
    """A chord tone takes the letter of its degree: the third of D is F#, in every key."""
    tone: Tone | None = next(
        (t for t in quality.tones if (root.pc + t.semitones) % 12 == bass), None
    )
    spelt = root.above(tone.degree, tone.semitones) if tone is not None else None
    return spelt or parse_note(note_text(bass, flats=flats))


def _note_list(
    pcs: frozenset[int], bass: int | None, *, flats: bool, near: ChordSymbol | None
) -> str:
    lowest = min(pcs) if bass is None else bass
    upward = sorted(pcs, key=lambda pc: (pc - lowest) % 12)
    *others, last = (_spelt(pc, flats=flats, near=near).text for pc in upward)
    return f"{', '.join(others)} and {last}" if others else last
