"""Chords in the words of MusicXML and back. Source of kinds and degrees: MusicXML 4.0
(W3C), simpleType kind-value and element degree-alter; their tones are checked against
the standard's words in tests/against."""

import pytest

from evaluator.notation.kinds import Degree, kind_of, quality_of
from evaluator.theory.qualities import QUALITIES
from evaluator.theory.symbol import parse_chord


@pytest.mark.parametrize("quality", [quality.name for quality in QUALITIES])
def test_every_quality_comes_back_from_musicxml(quality):
    assert quality_of(*kind_of(parse_chord("D" + quality))) == quality


@pytest.mark.parametrize(
    ("symbol", "kind", "degrees"),
    [
        ("C", "major", ()),
        ("C7sus4", "suspended-fourth", (Degree("add", 7, 0),)),
        ("Cadd9", "major", (Degree("add", 9, 0),)),
        ("Cm7b5", "half-diminished", ()),
        ("C7#5", "augmented-seventh", ()),
        ("C7b9", "dominant", (Degree("add", 9, -1),)),
        ("C9b5", "dominant-ninth", (Degree("alter", 5, -1),)),
        ("C13", "dominant-13th", ()),
    ],
)
def test_the_plainest_kind_is_written(symbol, kind, degrees):
    assert kind_of(parse_chord(symbol)) == (kind, degrees)


@pytest.mark.parametrize(
    ("kind", "degrees", "quality"),
    [
        ("suspended-fourth", (Degree("add", 7, 0),), "7sus4"),
        ("major", (Degree("add", 2, 0),), "add9"),
        ("minor-seventh", (Degree("alter", 5, -1),), "m7b5"),
        ("dominant", (Degree("alter", 5, 1),), "aug7"),
        ("dominant", (Degree("subtract", 3, 0), Degree("add", 4, 0)), "7sus4"),
        ("dominant", (Degree("subtract", 3, 0),), "7no3"),
        ("major", (Degree("subtract", 3, 0),), "5"),
        ("dominant-13th", (Degree("add", 11, 1),), "13#11"),
        ("dominant-ninth", (Degree("add", 9, -1), Degree("subtract", 9, 0)), "7b9"),
    ],
)
def test_degrees_are_put_together(kind, degrees, quality):
    assert quality_of(kind, degrees) == quality


def test_the_common_slip_for_a_minor_chord_with_a_major_seventh_is_read():
    assert quality_of("minor-major", ()) == "mMaj7"


def test_an_unknown_kind_is_read_by_its_printed_text_or_not_at_all():
    assert quality_of("other", (), "7b9") == "7b9"
    assert quality_of("other", (), "7alt") is None
    assert quality_of("Tristan", (), "") is None
    assert quality_of("Neapolitan", ()) is None
