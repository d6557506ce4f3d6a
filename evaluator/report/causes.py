"""What has one to work on, of all that went wrong in the bars?

Troubles of one cause are one thing to put right: a tone of the key, a chord, the bass under it,
a change that is not made, a hand that is silent, what one hand does to the pattern.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.report.faults import Trouble
from evaluator.theory.pitch import parse_note

UNPLAYED: Final = {"chord not played": "right", "bass not played": "left"}
"""The hand that is silent there; what it misses of the pattern is no second thing."""

_ROOT = re.compile(r"([A-G][#b♯♭]?)(m(?!aj))?")
_NOTE = re.compile(r"[A-G][#b♯♭]{0,2}")


SEVERAL: Final = 2
"""On so many roots the same was done to the chord, where it is a habit."""
FIFTH: Final = 7
"""Semitones."""
SWAPPED: Final = 2
"""So many times each of two chords was played for the other, where they were exchanged."""

Pair = frozenset[tuple[str, str]]
"""Two chords, by root and third."""


def swapped(found: Sequence[Trouble]) -> frozenset[Pair]:
    """Pairs of chords each of which was played for the other at least `SWAPPED` times."""
    counts = Counter(_instead(one) for one in found if one.case == "chord wrong")
    return frozenset(
        frozenset(pair)
        for pair, count in counts.items()
        if pair[0] != pair[1] and min(count, counts[pair[1], pair[0]]) >= SWAPPED
    )


def _instead(trouble: Trouble) -> tuple[tuple[str, str], tuple[str, str]]:
    words = dict(trouble.words)
    return _kind_of_chord(words["expected"]), _kind_of_chord(words["played"])


def chord_habits(found: Sequence[Trouble]) -> frozenset[str]:
    """Rows of `JOINED` that tell what was done to the chords of several roots: minor for major, or
    the fifth in the bass. It is one thing to learn, and neither a chord nor a tone of the key."""
    roots = {(habit, _root(one)) for one in found if (habit := _habit(one))}
    counts = Counter(habit for habit, _ in roots)
    return frozenset(habit for habit, count in counts.items() if count >= SEVERAL)


def _root(trouble: Trouble) -> str:
    words = dict(trouble.words)
    return _kind_of_chord(words.get("chord") or words["expected"])[0]


def _habit(trouble: Trouble) -> str:
    """What a trouble may be a case of; none for most."""
    words = dict(trouble.words)
    if (
        trouble.case == "bass wrong"
        and _ROOT.match(words["chord"])
        and _NOTE.fullmatch(words["played"])
    ):
        above = parse_note(words["played"]).pc - parse_note(_root(trouble)).pc
        return "bass fifth" if above % 12 == FIFTH else ""
    if trouble.case != "chord wrong":
        return ""
    (root, third), (played, other) = _instead(trouble)
    if root != played or third == other:
        return ""
    return "minor third" if other else "major third"


def cause(
    trouble: Trouble,
    pairs: frozenset[Pair] = frozenset(),
    common: frozenset[str] = frozenset(),
) -> tuple[str, ...]:
    """What one has to work on to be rid of a trouble, as a key under which troubles are gathered;
    `pairs` of chords were exchanged, and these `chord_habits` are `common`."""
    words, case = dict(trouble.words), trouble.case
    if case == "chord wrong" and (pair := frozenset(_instead(trouble))) in pairs:
        return "swapped", *("".join(chord) for chord in sorted(pair))
    if case == "chord wrong" and words.get("kept"):
        return ("kept",)
    if (habit := _habit(trouble)) in common:
        return (habit,)
    if case == "chord wrong" and words.get("foreign"):
        return "tone", words["foreign"], words["missing"]
    if case == "chord incomplete" and words.get("degree"):
        return "lacking", words["degree"]
    if case in ("bass root", "other rhythm", *UNPLAYED):
        return (case,)
    if case.endswith("put right"):
        return ("put right",)
    part = case.partition(" ")[0]
    if part == "chord":
        return part, *_kind_of_chord(words["expected"])
    if part == "bass":
        return part, words["expected"], words["chord"]
    return case, words["hand"]


def told(found: Sequence[Trouble]) -> Iterator[Trouble]:
    """The troubles without what follows from others."""
    silent = {(one.bar.index, UNPLAYED[one.case]) for one in found if one.case in UNPLAYED}
    for trouble in found:
        hand = dict(trouble.words).get("hand", "")
        if trouble.case != "missed" or (trouble.bar.index, hand) not in silent:
            yield trouble


def _kind_of_chord(name: str) -> tuple[str, str]:
    """Root and minor third, if it has one: E and E7 are learnt as one chord, D and Dm as two."""
    found = _ROOT.match(name)
    return (found[1], found[2] or "") if found else (name, "")
