"""Wanted and played, tone by tone."""

from evaluator.show.pages.wrong import what_was_wrong
from tests.playing import WrongBass, WrongChord
from tests.show.pages.takes import graded


def test_a_take_with_nothing_wrong_has_no_row() -> None:
    assert what_was_wrong(graded()) == ()


def test_a_wrong_bass_is_told_with_both_notes() -> None:
    (row,) = what_was_wrong(graded(WrongBass(2, "A")))
    assert (row.number, row.section, row.part, row.wanted, row.played) == (
        *(2, "Verse", "bass"),
        *("C#", "A"),
    )
    assert row.played_tones == ()


def test_a_wrong_chord_is_told_with_its_tones_and_which_of_them_are_foreign() -> None:
    rows = what_was_wrong(graded(WrongChord(4, "Gm")))
    (row,) = [row for row in rows if row.part == "chord"]
    assert (row.wanted, row.wanted_tones) == ("G", ("G", "B", "D"))
    assert row.played == "Gm"
    assert set(row.played_tones) == {("G", True), ("Bb", False), ("D", True)}


def test_the_second_chord_of_a_bar_is_told_with_its_beat() -> None:
    rows = what_was_wrong(graded(WrongChord(7, "A", 2.0)))
    (row,) = [row for row in rows if row.part == "chord"]
    assert (row.beat, row.wanted) == ("beat 3", "Em7")


def test_a_transposed_take_is_told_in_the_key_of_the_chart() -> None:
    (row,) = what_was_wrong(graded(WrongBass(2, "A"), transposed=2))
    assert (row.wanted, row.played) == ("C#", "A")
