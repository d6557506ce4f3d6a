"""The table of qualities holds together. Tones against outside tables: `tests/against`."""

from collections import Counter

import pytest

from evaluator.theory.qualities import BASES, QUALITIES, SPELLINGS, Tone, read_tone


@pytest.mark.parametrize(
    ("text", "tone"),
    [
        ("1", Tone(1, 0)),
        ("b3", Tone(3, 3)),
        ("#5", Tone(5, 8)),
        ("bb7", Tone(7, 9)),
        ("b9", Tone(9, 13)),
        ("#11", Tone(11, 18)),
        ("13", Tone(13, 21)),
    ],
)
def test_a_degree_is_so_many_semitones_above_the_root(text: str, tone: Tone) -> None:
    assert read_tone(text) == tone


def test_no_quality_stands_twice_and_no_two_have_the_same_tones() -> None:
    assert max(Counter(quality.name for quality in QUALITIES).values()) == 1
    degrees = Counter(frozenset((t.degree, t.semitones) for t in q.tones) for q in QUALITIES)
    assert max(degrees.values()) == 1


def test_every_quality_is_spelt_by_its_own_name() -> None:
    assert all(SPELLINGS[quality.name] is quality for quality in QUALITIES)


def test_no_spelling_belongs_to_two_qualities() -> None:
    # A later row would silently take the spelling from an earlier one.
    for spelling, quality in BASES.items():
        assert SPELLINGS[spelling] is quality


def test_no_spelling_begins_with_what_would_be_the_accidental_of_the_root() -> None:
    assert not [spelling for spelling in SPELLINGS if spelling[:1] in ("#", "b")]


def test_the_root_is_never_optional_and_small_chords_need_everything() -> None:
    for quality in QUALITIES:
        assert quality.tones[0] == Tone(1, 0)
        if len(quality.tones) <= 3:
            assert not any(tone.optional for tone in quality.tones)


def test_the_plain_fifth_of_a_large_chord_is_optional_and_an_altered_one_never() -> None:
    for quality in QUALITIES:
        fifths = [tone for tone in quality.tones if tone.degree == 5]
        for fifth in fifths:
            assert fifth.optional == (fifth.semitones == 7 and len(quality.tones) > 3)
