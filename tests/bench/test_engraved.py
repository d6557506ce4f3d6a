"""A right take of a printed piece is judged right, whatever the piece has in it.

Ornaments, repeats and the rest are printed as MusicXML 4.0 (W3C) has them, and played as the tables
of C. P. E. Bach (Versuch, 1753, from memory) and common practice (no source) have it.
"""

import pytest

from tests.bench.engraved_all import FOUND, GOOD, LET_PASS, measure

ONCE_MISJUDGED = [
    ("trill", 0),
    ("trill", 1),
    ("trill, closed", 1),
    ("trill, tied", 0),
    ("trill, tied", 3),
    ("tremolo", 0),
    ("rolls in both", 1),
    ("trill below", 0),
    ("hidden notes", 1),
    ("four graces", 3),
    ("appoggiatura", 5),
    ("schleifer", 2),
    ("silences", 0),
    ("tremolo of two", 0),
    ("tremolo between", 0),
    ("glissando", 0),
    ("bars again", 0),
]
ALWAYS_RIGHT = [
    *(("rubato", 1), ("appoggiatura", 0), ("two voices", 0), ("suspensions", 0)),
    *(("crossing hands", 1), ("repeats not taken", 0), ("endings not taken", 1)),
]


@pytest.mark.parametrize(("feature", "seed"), ONCE_MISJUDGED + ALWAYS_RIGHT)
def test_a_right_take_is_not_accused(feature: str, seed: int) -> None:
    found = measure(feature, seed)
    assert not found.refused
    assert found.accused <= LET_PASS * found.bars
    assert min(found.marks) >= GOOD
    assert not found.form
    assert found.found >= FOUND * found.wrong
