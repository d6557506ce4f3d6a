"""Chord symbols as teachers write them.

Tones: MusicXML 4.0 kind values and Harte et al. (2005), see `tests/against`; here the
readings on which they are silent. Spellings and what may be left out: common practice,
no source.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluator.theory.qualities import SPELLINGS
from evaluator.theory.symbol import ChordSymbol, ChordSymbolError, parse_chord


def above_root(chord: ChordSymbol, tones: frozenset[int]) -> set[int]:
    return {(pc - chord.root.pc) % 12 for pc in tones}


@pytest.mark.parametrize(
    ("text", "root", "quality", "bass"),
    [
        ("D", "D", "", None),
        ("Bb7", "Bb", "7", None),
        ("B7", "B", "7", None),
        ("Bb5", "Bb", "5", None),
        ("C#5", "C#", "5", None),
        ("F#9", "F#", "9", None),
        ("C6/9", "C", "69", None),
        ("C6/9/E", "C", "69", "E"),
        ("C6/E", "C", "6", "E"),
        ("C/D", "C", "", "D"),
        ("D/F#", "D", "", "F#"),
        ("C/B♭", "C", "", "Bb"),
        ("Am7b5", "A", "m7b5", None),
        ("A♭m7♭5/E♭", "Ab", "m7b5", "Eb"),
    ],
)
def test_root_quality_and_bass(text: str, root: str, quality: str, bass: str | None) -> None:
    chord = parse_chord(text)
    assert chord.root.text == root
    assert chord.quality == quality
    assert (chord.bass.text if chord.bass else None) == bass
    assert chord.text == text
    assert chord.name == root + quality


@pytest.mark.parametrize(
    ("text", "essential", "optional"),
    [
        # A triad needs all its tones.
        ("C", {0, 4, 7}, set()),
        ("Csus4", {0, 5, 7}, set()),
        ("Caug", {0, 4, 8}, set()),
        ("C5", {0, 7}, set()),
        # The plain fifth may be missing from a larger chord, an altered fifth not.
        ("C7", {0, 4, 10}, {7}),
        ("Cm6", {0, 3, 9}, {7}),
        ("Cadd9", {0, 2, 4}, {7}),
        ("Cadd#11", {0, 4, 6}, {7}),
        ("Cm7b5", {0, 3, 6, 10}, set()),
        ("Cdim7", {0, 3, 6, 9}, set()),
        ("C7#5", {0, 4, 8, 10}, set()),
        # The extension that names the chord is needed, those below it are not.
        ("C9", {0, 2, 4, 10}, {7}),
        ("C11", {0, 5, 10}, {2, 4, 7}),
        ("Cm11", {0, 3, 5, 10}, {2, 7}),
        ("C13", {0, 4, 9, 10}, {2, 7}),
        ("Cm13", {0, 3, 9, 10}, {2, 5, 7}),
        ("C13b9", {0, 1, 4, 9, 10}, {7}),
        ("C7b9", {0, 1, 4, 10}, {7}),
        ("C7b5#9", {0, 3, 4, 6, 10}, set()),
        ("C7b9#9", {0, 1, 3, 4, 10}, {7}),
        ("C7no5", {0, 4, 10}, set()),
        ("C6#11", {0, 4, 6, 9}, {7}),
        ("Cm#5", {0, 3, 8}, set()),
        ("C6sus4", {0, 5, 9}, {7}),
        ("Csus2sus4", {0, 2, 5}, {7}),
    ],
)
def test_which_tones_a_chord_needs(text: str, essential: set[int], optional: set[int]) -> None:
    chord = parse_chord(text)
    assert above_root(chord, chord.essential) == essential
    assert above_root(chord, chord.optional) == optional
    assert chord.tones == chord.essential | chord.optional


def test_thirteen_has_no_natural_eleventh_but_minor_thirteen_has() -> None:
    assert 5 not in parse_chord("C13").tones
    assert 5 not in parse_chord("Cmaj13").tones
    assert 5 in parse_chord("Cm13").tones


def test_tones_are_absolute() -> None:
    assert parse_chord("D").tones == {2, 6, 9}
    assert parse_chord("Bb7").tones == {10, 2, 5, 8}


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("D", (2, 6, 9, None, 2)),
        ("D/F#", (2, 6, 9, None, 6)),
        ("Dsus4", (2, 7, 9, None, 2)),
        ("Dsus2", (2, 4, 9, None, 2)),
        ("D7sus4", (2, 7, 9, 0, 2)),
        ("D6", (2, 6, 9, 11, 2)),
        ("Ddim7", (2, 5, 8, 11, 2)),
        ("D5", (2, None, 9, None, 2)),
        ("D13", (2, 6, 9, 0, 2)),
    ],
)
def test_degrees_of_a_broken_chord(text: str, degrees: tuple[int | None, ...]) -> None:
    chord = parse_chord(text)
    assert tuple(chord.degree(n) for n in (1, 3, 5, 7, 8)) == degrees


def test_the_bass_is_the_slash_note_or_the_root() -> None:
    assert parse_chord("D/F#").bass_pc == 6
    assert parse_chord("D").bass_pc == 2


def test_a_chord_without_its_slash_bass_is_the_plain_chord() -> None:
    assert parse_chord("D/F#").without_bass() == parse_chord("D")
    assert parse_chord("C6/9/E").without_bass().text == "C6/9"
    assert parse_chord("D").without_bass() is parse_chord("D")


def test_chords_are_equal_by_what_they_mean() -> None:
    assert parse_chord("Cmin7") == parse_chord("C-7")
    assert hash(parse_chord("Cmin7")) == hash(parse_chord("C-7"))
    assert parse_chord("C#") != parse_chord("Db")
    assert parse_chord("C") != parse_chord("C/E")


@pytest.mark.parametrize(
    ("text", "column", "suggestion"),
    [
        ("Bm77", 3, "Bm7"),
        ("Bm77/F#", 3, "Bm7/F#"),
        ("bm7", 0, "Bm7"),
        ("bb7", 0, "Bb7"),
        ("d/f#", 0, "D/F#"),
        ("Hm", 0, "Bm"),
        ("C/H", 2, "C/B"),
        ("C/g", 2, "C/G"),
        ("C/", 1, "C"),
        ("C/Gx", 3, "C"),
        ("Cmaj7foo", 5, "Cmaj7"),
        ("Cmj7", 2, "Cmaj7"),
        ("C7(b9", 2, "C7b9"),
        ("C(b9)", 2, "C7b9"),
        ("C7(b9#11", 2, "C7b9#11"),
        ("C()", 2, "C"),
        ("Cbb5", 2, "Cb(b5)"),
        ("Bbb7", 2, "Bb7"),
        ("N.C.", 0, None),
        ("Dxyz", 1, None),
        ("", 0, None),
    ],
)
def test_a_mistake_is_placed_and_the_nearest_spelling_named(
    text: str, column: int, suggestion: str | None
) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_chord(text)
    assert (caught.value.text, caught.value.column) == (text, column)
    assert caught.value.suggestion == suggestion
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(
    ("text", "suggestion"),
    [("C2", "Csus2"), ("C4", "Csus4"), ("C+9", "C9#5"), ("C7/9", "C9"), ("C7alt", None)],
)
def test_what_musicians_read_in_two_ways_is_not_guessed(text: str, suggestion: str | None) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_chord(text)
    assert caught.value.suggestion == suggestion


def test_an_error_says_in_words_what_is_wrong() -> None:
    with pytest.raises(ChordSymbolError, match="'7' cannot be read after 'Bm7'"):
        parse_chord("Bm77")
    with pytest.raises(ChordSymbolError, match="letter from A to G"):
        parse_chord("Hm")
    with pytest.raises(ChordSymbolError, match="no bass note after its slash"):
        parse_chord("C/")
    with pytest.raises(ChordSymbolError, match="not closed"):
        parse_chord("C7(b9")
    with pytest.raises(ChordSymbolError, match="b9 alters a seventh chord"):
        parse_chord("C(b9)")


NEAR_CHORDS = st.builds(
    "C{}{}".format, st.sampled_from(sorted(SPELLINGS)), st.text("b#m79/(, ", max_size=3)
)


@settings(max_examples=200)
@given(st.text(max_size=12) | st.text("ABCGHbm#♭-+/()69135Δøsuadjino, ", max_size=12) | NEAR_CHORDS)
def test_any_text_is_a_chord_or_a_placed_mistake(text: str) -> None:
    try:
        chord = parse_chord(text)
    except ChordSymbolError as caught:
        mistake = caught
    else:
        assert parse_chord(chord.name) == chord.without_bass()
        return
    assert 0 <= mistake.column < max(len(text), 1)
    assert mistake.suggestion is None or parse_chord(mistake.suggestion)
