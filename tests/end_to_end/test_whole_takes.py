"""Takes that begin late, stop early, sound in another key, or are of another song."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.end_to_end.conftest import Student
from tests.end_to_end.lesson import SONG, grade, performed
from tests.playing import Note, Performance, to_midi

OTHER_SONG = """\
title: The Clockmaker's Goat
key: Ab major
meter: 3/4
tempo: 132

pattern turn
  left  | x . . |
  right | . x x |

[All]
| Ab | Fm7 | Db | Eb7 | x4
| Bbm7 | Eb7 | Cm7 | Fm7 | x4
"""


def test_a_take_that_stops_early_is_partial_and_not_full_of_gaps(student: Student) -> None:
    played = student(order=range(1, 15))
    assert played.flawless
    assert played.fields["take"]["complete"] is False
    assert played.fields["headline"] == (
        "The take stops in Chorus 1, bar 14, and only what was played is judged: all 14 bars right."
    )


def test_a_take_may_begin_at_any_section(student: Student) -> None:
    played = student(order=range(21, 48))
    assert played.flawless
    assert played.fields["headline"].startswith(
        "The take begins in Verse 2, bar 21, and only what was played is judged: all "
    )


@pytest.mark.parametrize("semitones", [-5, -1, 2, 6])
def test_a_transposed_take_is_judged_and_said_to_be_one(tmp_path: Path, semitones: int) -> None:
    played = grade(tmp_path, SONG, to_midi(performed(SONG).transposed(semitones)))
    assert played.flawless
    assert played.fields["take"]["transposed"] == semitones
    assert "transpose" in played.fields["remarks"][0]


def test_an_octave_is_no_transposition(tmp_path: Path) -> None:
    played = grade(tmp_path, SONG, to_midi(performed(SONG).transposed(12)))
    assert played.flawless
    assert played.fields["take"]["transposed"] == 0


@pytest.mark.parametrize("tempo", [0.5, 0.75, 1.4, 2.0])
def test_another_tempo_is_no_mistake(student: Student, tempo: float) -> None:
    played = student(tempo=tempo)
    assert played.flawless
    assert played.fields["tempo"]["median"] == pytest.approx(96 * tempo, rel=0.06)


def test_noodling_before_and_after_is_passed_over(tmp_path: Path) -> None:
    take = performed(SONG).later(9.0)
    end = max(note.offset for note in take.notes)
    before = melody((60, 62, 64, 65, 67, 65, 64, 62, 60, 72, 76, 79), 0.5)
    after = melody((67, 66, 64, 62, 61, 59, 57, 74, 78, 81), end + 2)
    notes = (*before, *take.notes, *after)
    played = grade(tmp_path, SONG, to_midi(replace(take, notes=notes)))
    assert played.flawless
    assert played.order == list(range(1, 48))


def test_hands_on_tracks_of_their_own_are_one_take(tmp_path: Path) -> None:
    assert grade(tmp_path, SONG, to_midi(performed(SONG), tracks="hands")).flawless


def test_a_take_of_another_song_is_not_marked(tmp_path: Path) -> None:
    played = grade(tmp_path, SONG, to_midi(performed(OTHER_SONG)))
    assert played.fields["matches"] is False
    assert set(played.fields["scores"].values()) == {None}
    assert played.fields["bars"] == []
    assert played.fields["headline"].startswith("This does not sound like Nine Umbrellas")


@pytest.mark.parametrize("count", [1, 3])
def test_a_few_notes_are_not_marked(tmp_path: Path, count: int) -> None:
    take = performed(SONG)
    few: Performance = replace(take, notes=take.notes[:count])
    played = grade(tmp_path, SONG, to_midi(few))
    assert played.fields["matches"] is False
    assert set(played.fields["scores"].values()) == {None}


def melody(pitches: tuple[int, ...], start: float) -> tuple[Note, ...]:
    """Single notes, two in a second."""
    return tuple(
        Note(start + 0.5 * place, start + 0.5 * place + 0.3, pitch, 70, "right")
        for place, pitch in enumerate(pitches)
    )
