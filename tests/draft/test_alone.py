"""A take without a sheet: its chords, its key, and what comes again."""

import pytest

from evaluator.chart import read_chart
from evaluator.draft import Asked, write_draft
from evaluator.draft.alone import draft_take
from evaluator.draft.key import key_of
from evaluator.draft.sections import find_sections
from evaluator.take.midi_file import read_take
from evaluator.theory.symbol import parse_chord
from tests.draft.test_played import CHORUS, VERSE, bars, chart, taken


def test_the_chords_are_named_from_what_was_struck() -> None:
    text = chart(VERSE + CHORUS + "\n[Verse]\n\n[Chorus]\n")
    draft = draft_take(read_take(taken(text)), Asked(100.0), name="x")
    assert draft.key is not None
    assert (draft.key.tonic.text, draft.key.mode) == ("D", "major")
    drafted, played = bars(read_chart(write_draft(draft))), bars(read_chart(text))
    assert len(drafted) == len(played)
    alike = [one == other for one, other in zip(drafted, played, strict=True)]
    assert sum(alike) >= 0.9 * len(alike)


def test_that_there_was_no_sheet_is_said() -> None:
    text = chart(VERSE + CHORUS)
    written = write_draft(draft_take(read_take(taken(text)), Asked(), name="x"))
    assert "# no sheet was given" in written


@pytest.mark.parametrize("key", ["Eb", "F#", "Bb", "Db"])
def test_chords_are_spelt_in_the_key(key: str) -> None:
    third, fifth = {
        **{"Eb": ("Gm", "Bb"), "F#": ("A#m", "C#")},
        **{"Bb": ("Dm", "F"), "Db": ("Fm", "Ab")},
    }[key]
    body = f"\n[A]\n| {key} | {third} | {fifth} | {key} |\n| {key} | {fifth} | {third} | {key} |\n"
    text = chart(body).replace("bass: A = C#\n", "")
    written = write_draft(draft_take(read_take(taken(text)), Asked(100.0), name="x"))
    assert third in written
    assert f"key:   {key} major" in written


def test_a_key_has_no_more_signs_than_there_are() -> None:
    def key_in(names: str) -> str:
        chords = list(map(parse_chord, names.split()))
        key = key_of(chords, [1.0] * len(chords))
        assert key is not None
        return key.tonic.text

    assert key_in("A# D# F A#") == "Bb"  # not ten sharps
    assert key_in("F# B C# F#") == "F#"
    assert key_in("Gb Cb Db Gb") == "Gb"


def test_lines_that_come_again_are_one_section() -> None:
    row = list("DAGADABGCCCCDAGADABGEEEE")
    found = [(part.name, part.first, part.last) for part in find_sections(row, 4)]
    assert found == [
        ("Part A", 0, 8),
        ("Part B", 8, 12),
        ("Part A", 12, 20),
        ("Part C", 20, 24),
    ]


def test_an_upbeat_does_not_hide_what_comes_again() -> None:
    row = list("XDAGADABGDAGADABG")
    assert [part.name for part in find_sections(row, 4)] == ["Part A", "Part B", "Part B"]
