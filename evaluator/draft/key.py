"""In which key is a song with these chords?

The key whose scale holds most of the chord tones; the last chord and the first are likelier
home than others, the last by more. Common practice of harmony lessons, no source.
"""

from collections.abc import Sequence

from evaluator.theory.pitch import Key, Mode, note_text, parse_note
from evaluator.theory.symbol import ChordSymbol

_SCALES: dict[Mode, tuple[int, ...]] = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 8, 10),
}
_LEADING_NOTE = 11
"""Belongs to minor on its fifth chord."""
_HOME = {"major": 4, "minor": 3}
_MOST_SIGNS = 7
_LAST, _FIRST, _EACH = 0.12, 0.06, 0.25


def key_of(chords: Sequence[ChordSymbol], weights: Sequence[float]) -> Key | None:
    """The likeliest key; None without chords. `weights` are beats, or 1 each."""
    total = sum(weights)
    if not total:
        return None
    best: tuple[float, Key] | None = None
    for mode in _SCALES:
        for tonic in range(12):
            key = _spelt(tonic, mode, chords)
            score = (
                sum(
                    weight * _fit(chord, key) for chord, weight in zip(chords, weights, strict=True)
                )
                / total
            )
            score += _LAST * _is_home(chords[-1], key) + _FIRST * _is_home(chords[0], key)
            if best is None or score > best[0] + 1e-9:
                best = score, key
    return best[1] if best else None


def scale_of(key: Key) -> frozenset[int]:
    """Pitch classes of the key, in minor with the leading note."""
    leading = {_LEADING_NOTE} if key.mode == "minor" else set()
    return frozenset((key.tonic.pc + step) % 12 for step in {*_SCALES[key.mode], *leading})


def _fit(chord: ChordSymbol, key: Key) -> float:
    above = [(pc - key.tonic.pc) % 12 for pc in chord.essential]
    scale = set(_SCALES[key.mode])
    if key.mode == "minor" and (chord.root.pc - key.tonic.pc) % 12 == 7:
        scale.add(_LEADING_NOTE)
    inside = sum(pc in scale for pc in above) / len(above)
    return inside + _EACH * _is_home(chord, key)


def _is_home(chord: ChordSymbol, key: Key) -> bool:
    third = chord.degree(3)
    same = chord.root.pc == key.tonic.pc
    return same and third is not None and (third - key.tonic.pc) % 12 == _HOME[key.mode]


def with_fewer_signs(key: Key) -> Key:
    """The same key, spelt with the fewer sharps or flats."""
    names = (parse_note(note_text(key.tonic.pc, flats=flats)) for flats in (False, True))
    return min((Key(name, key.mode) for name in names), key=lambda one: abs(one.fifths))


def _spelt(pc: int, mode: Mode, chords: Sequence[ChordSymbol]) -> Key:
    """As the chords spell it, if there are so many sharps or flats, else with the fewer signs."""
    plain = with_fewer_signs(Key(parse_note(note_text(pc, flats=False)), mode))
    spelt = (Key(chord.root, mode) for chord in chords if chord.root.pc == pc)
    return next((key for key in spelt if abs(key.fifths) <= _MOST_SIGNS), plain)
