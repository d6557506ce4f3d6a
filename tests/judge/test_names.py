"""How chords and notes are called. Spelling as musicians do it: a chord's own tones by their
degree, others as the key has its black keys. Common practice, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, Span
from evaluator.judge.names import bass_name, chord_name, note_name, played_name


def place(chord: str, *, key: str = "C major", rule: str = "") -> tuple[Span, Bar]:
    header = f"title: T\nkey: {key}\ntempo: 100\n" + (f"bass: {rule}\n" if rule else "")
    bar = read_chart(f"{header}[A]\n| {chord} |\n").bars[0]
    return bar.spans[0], bar


@pytest.mark.parametrize(
    ("chord", "rule", "bass", "name"),
    [
        ("D", "", "D", "D"),
        ("D/F#", "", "F#", "D/F#"),
        ("A", "A = C#", "C#", "A/C#"),
        ("Fm", "Fm = Ab", "Ab", "Fm/Ab"),
        ("C7", "C7 = Bb", "Bb", "C7/Bb"),
        # No tone of the chord: as the rule itself would be read in this key.
        ("C", "C = F#", "F#", "C/F#"),
        ("Bdim7", "Bdim7 = Ab", "Ab", "Bdim7/Ab"),
        ("N.C.", "", "N.C.", "N.C."),
    ],
)
def test_a_bass_is_spelt_as_its_chord_is(chord: str, rule: str, bass: str, name: str) -> None:
    assert bass_name(*place(chord, rule=rule)) == bass
    assert chord_name(*place(chord, rule=rule)) == name


def test_a_note_is_spelt_near_its_chord() -> None:
    in_d = place("D/F#", key="Db major")
    assert note_name(6, *in_d) == "F#"
    assert note_name(9, *in_d) == "A"
    assert note_name(8, *in_d) == "Ab"
    assert note_name(8, *place("D", key="D major")) == "G#"


def test_where_no_chord_is_notes_are_spelt_as_the_key_has_them() -> None:
    assert note_name(1, *place("N.C.", key="Db major")) == "Db"
    assert note_name(1, *place("N.C.", key="D major")) == "C#"


def test_no_tones_have_no_name() -> None:
    assert played_name(frozenset(), None, *place("D")) == ""
    assert played_name(frozenset({2, 6, 9}), 6, *place("D")) == "D/F#"
