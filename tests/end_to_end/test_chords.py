"""Chords and basses from end to end: what is a mistake, and what is only another way.

Common practice of playing from chord charts, no source.
"""

import pytest

from tests.end_to_end.conftest import Student
from tests.playing import Lacking, Slip, WrongBass, WrongChord


def test_the_song_as_written_is_right(student: Student) -> None:
    played = student()
    assert played.flawless
    assert played.order == list(range(1, 48))
    assert (
        played.fields["headline"]
        == "Well played: all 47 bars right, none missing and none too many."
    )


@pytest.mark.parametrize(
    "manner",
    [
        pytest.param({"leaps": 1.0}, id="any inversion"),
        pytest.param({"doubled": 1.0, "octaves": 1.0}, id="doublings in both hands"),
        pytest.param({"rolled": 1.0}, id="every chord rolled"),
        pytest.param({"thinned": 1.0}, id="large chords without their fifth"),
        pytest.param({"coloured": 1.0}, id="every colour used"),
        pytest.param({"coloured": 0.0}, id="no colour used"),
        pytest.param({"pedal": "changed"}, id="with the pedal"),
        pytest.param({"length": 0.3}, id="short notes"),
        pytest.param({"left_velocity": 90.0, "right_velocity": 40.0}, id="a loud left hand"),
    ],
)
def test_other_ways_to_play_the_chords_are_no_mistakes(
    student: Student, manner: dict[str, float | str]
) -> None:
    assert student(**manner).flawless


def test_a_colour_that_the_chart_allows_is_right_and_any_other_is_not(student: Student) -> None:
    assert student(WrongChord(4, "Gadd9")).flawless
    assert student(WrongChord(25, "Esus4")).faults == {25: ["Esus4 instead of Em7"]}


def test_minor_for_major_is_named(student: Student) -> None:
    played = student(WrongChord(21, "Dm"))
    assert played.faults == {21: ["Dm instead of D"]}
    assert played.findings == []


def test_another_chord_is_named(student: Student) -> None:
    assert student(WrongChord(23, "Em")).faults == {23: ["Em instead of G"]}


def test_a_chord_without_its_third_is_not_complete(student: Student) -> None:
    assert student(Lacking(21, "F#")).faults == {21: ["D incomplete (D5 heard)"]}


def test_the_plain_root_under_a_ruled_bass_is_named_as_that(student: Student) -> None:
    played = student(WrongBass(2, "A"), WrongBass(6, "A"))
    assert played.faults == {bar: ["bass A instead of C#"] for bar in (2, 6)}
    assert played.fields["bars"][1]["bass"]["spans"][0]["root_for_bass"] is True
    assert played.fields["fix_first"] == [
        "In the bass under A, the root A was played instead of C# (Verse 1, bars 2 and 6)."
    ]


def test_another_bass_is_named(student: Student) -> None:
    played = student(WrongBass(10, "D"))
    assert played.faults == {10: ["bass D instead of F#"]}
    played = student(WrongBass(21, "F#"))
    assert played.faults == {21: ["bass F# instead of D"]}
    assert played.fields["bars"][20]["bass"]["spans"][0]["root_for_bass"] is False


def test_a_brushed_key_is_said_and_the_bar_is_right(student: Student) -> None:
    played = student(Slip(22, 1.0))
    assert [fault["kind"] for fault in played.fields["bars"][21]["faults"]] == ["slip"]
    assert "all 47 bars right" in played.fields["headline"]


def test_each_chord_of_a_bar_is_judged_by_itself(student: Student) -> None:
    played = student(WrongChord(7, "Bm", beat=2.0))
    assert played.faults == {7: ["Bm instead of Em7"]}
    spans = played.fields["bars"][6]["chord"]["spans"]
    assert [(span["beat"], span["word"]) for span in spans] == [(1, "right"), (3, "wrong")]
