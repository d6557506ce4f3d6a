"""What has one to work on, of all that went wrong in the bars?

Troubles of one cause are one thing to put right: a tone of the key, a chord, the bass under it,
a change that is not made, a hand that is silent, what one hand does to the pattern.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.report.faults import Trouble

UNPLAYED: Final = {"chord not played": "right", "bass not played": "left"}
"""The hand that is silent there; what it misses of the pattern is no second thing."""

_ROOT = re.compile(r"([A-G][#b♯♭]?)(m(?!aj))?")


THIRDS: Final = 2
"""On so many roots one kind of chord was played for the other, where it is a habit."""
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


def other_thirds(found: Sequence[Trouble]) -> frozenset[str]:
    """`minor` if minor chords were played for major ones on several roots, `major` for the reverse:
    then it is the kind of chord that is not known, and not a tone of the key."""
    roots = {(kind, _instead(one)[0][0]) for one in found if (kind := _third(one))}
    counts = Counter(kind for kind, _ in roots)
    return frozenset(kind for kind, count in counts.items() if count >= THIRDS)


def _third(trouble: Trouble) -> str:
    """Which chord on its root was played for another: `minor` for major, `major`, or none."""
    if trouble.case != "chord wrong":
        return ""
    (root, third), (played, other) = _instead(trouble)
    if root != played or third == other:
        return ""
    return "minor" if other else "major"


def cause(
    trouble: Trouble,
    pairs: frozenset[Pair] = frozenset(),
    thirds: frozenset[str] = frozenset(),
) -> tuple[str, ...]:
    """What one has to work on to be rid of a trouble, as a key under which troubles are gathered;
    `pairs` of chords were exchanged, these `thirds` played for the others."""
    words, case = dict(trouble.words), trouble.case
    if case == "chord wrong" and (pair := frozenset(_instead(trouble))) in pairs:
        return "swapped", *("".join(chord) for chord in sorted(pair))
    if case == "chord wrong" and words.get("kept"):
        return ("kept",)
    if _third(trouble) in thirds:
        return (f"{_third(trouble)} third",)
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
