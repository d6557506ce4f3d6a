"""What of a score can a chart not keep, and how many of each?

A chart has signs for notes, ornaments, staccato, fermatas and ritards. What else stands on
the staves of the hands is counted and said in one sentence, so that nothing is lost in
silence.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, Final

from evaluator.notation.cells import lost
from evaluator.notation.hand_notes import SIGN_OF
from evaluator.notation.score import ScoreBar

NAMES: Final[tuple[tuple[str, str, str], ...]] = (
    ("Slur", "slur", "slurs"),
    ("Accent", "accent", "accents"),
    ("Tenuto", "tenuto line", "tenuto lines"),
    ("Dynamic", "dynamic mark", "dynamic marks"),
    ("DynamicWedge", "hairpin", "hairpins"),
    ("PedalMark", "pedal mark", "pedal marks"),
    ("BreathMark", "breath mark", "breath marks"),
    ("Fingering", "fingering", "fingerings"),
)
"""Class of the library, and what one and several are called."""
OTHER: Final = ("other sign at a note", "other signs at notes")
NO_ROOM: Final = "left out: more together, or quicker, than a row has room for"


def not_kept(parts: Sequence[Any], bars: Iterable[ScoreBar]) -> tuple[Counter[str], Counter[str]]:
    """Signs that are left out, by class; and notes, by what is said of them."""
    signs: Counter[str] = Counter()
    for part in parts:
        # Each spanner once, whether the part or one of its bars has it.
        found = {id(one): one for one in part.recurse()}
        for one in found.values():
            signs.update(_class(one, known_only=True))
            if "GeneralNote" in one.classes and "Harmony" not in one.classes:
                for mark in (*one.expressions, *one.articulations):
                    signs.update(_class(mark, known_only=False))
    notes: Counter[str] = Counter()
    for bar in bars:
        for tones in bar.hands.values():
            notes[NO_ROOM] += lost(tones, bar.meter)
    return signs, notes


def _class(sign: Any, *, known_only: bool) -> list[str]:
    classes = sign.classes
    if any(name in SIGN_OF for name in classes):
        return []
    named = [name for name, _, _ in NAMES if name in classes]
    if named or known_only:
        return named[:1]
    return [] if "TextExpression" in classes else [OTHER[0]]


def told(signs: Counter[str], notes: Counter[str]) -> tuple[str, ...]:
    """What was not kept, in words."""
    rows = [*NAMES, (OTHER[0], *OTHER)]
    said = [
        f"{signs[name]} {one if signs[name] == 1 else several}"
        for name, one, several in rows
        if signs[name]
    ]
    listed = " and ".join(filter(None, (", ".join(said[:-1]), *said[-1:])))
    found = [f"left out, since a chart has no sign for them: {listed}"] if said else []
    counted = ((count, text) for text, count in notes.items() if count)
    return (
        *found,
        *(f"1 note is {text}" if one == 1 else f"{one} notes are {text}" for one, text in counted),
    )
