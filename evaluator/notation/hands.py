"""Which keys does a hand strike in each bar of its staff?

All voices of the staff together: what begins at one place is one strike, held until the
next strike of the staff or its own end. A tie strikes nothing, ornaments in small print
(grace notes) belong to the player, and keys that no piano has are left out with a remark.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from evaluator.notation.score import Tone
from evaluator.theory.keyboard import HIGHEST_KEY, LOWEST_KEY, Pitch, key_text, parse_pitch
from evaluator.theory.pitch import NoteName


def read_hand(measures: Sequence[Any], remarks: list[str]) -> Mapping[int, tuple[Tone, ...]]:
    """The strikes of each bar, by its index, in order of their offsets."""
    return {place: _bar(measure, remarks) for place, measure in enumerate(measures)}


def _bar(measure: Any, remarks: list[str]) -> tuple[Tone, ...]:
    struck: dict[Fraction, dict[int, Pitch]] = {}
    held: dict[Fraction, dict[int, Pitch]] = {}
    ends: dict[Fraction, Fraction] = {}
    for note in measure.recurse().notes:
        if "Harmony" in note.classes or note.duration.isGrace or not note.pitches:
            continue
        offset = Fraction(note.getOffsetInHierarchy(measure))
        length = Fraction(note.quarterLength)
        for one in getattr(note, "notes", (note,)):
            pitch = _pitch(one.pitch, measure, remarks)
            if pitch is None:
                continue
            tied = one.tie is not None and one.tie.type in ("stop", "continue")
            (held if tied else struck).setdefault(offset, {})[pitch.key] = pitch
            ends[offset] = max(ends.get(offset, offset), offset + length)
    return tuple(_tones(struck, held, ends))


def _tones(
    struck: Mapping[Fraction, Mapping[int, Pitch]],
    held: Mapping[Fraction, Mapping[int, Pitch]],
    ends: Mapping[Fraction, Fraction],
) -> list[Tone]:
    """Strikes with their lengths. What a tie goes on with counts where nothing is struck."""
    onsets = sorted(ends)
    tones: list[Tone] = []
    for place, onset in enumerate(onsets):
        after = onsets[place + 1] if place + 1 < len(onsets) else ends[onset]
        keys = struck.get(onset) or held[onset]
        pitches = tuple(keys[key] for key in sorted(keys))
        length = min(ends[onset], after) - onset
        tones.append(Tone(onset, length, pitches, onset in struck))
    return tones


def _pitch(pitch: Any, measure: Any, remarks: list[str]) -> Pitch | None:
    key = round(pitch.ps)
    if not LOWEST_KEY <= key <= HIGHEST_KEY:
        label = measure.measureNumberWithSuffix()
        remarks.append(f"bar {label}: a note that no piano has is left out")
        return None
    alter = pitch.accidental.alter if pitch.accidental else 0
    if alter == int(alter) and -2 <= alter <= 2:
        spelt = Pitch(NoteName(pitch.step, int(alter)), pitch.implicitOctave)
        if spelt.key == key and 0 <= spelt.octave <= 8:
            return spelt
    return parse_pitch(key_text(key, flats=alter < 0))
