"""Teachers play what their chart says, whatever they do beside it."""

import pytest

from evaluator.grading import grade_take, prepare
from tests.bench.draft_songs import invent_song
from tests.bench.draft_teachers import TEACHERS, play_as


@pytest.mark.parametrize("kind", TEACHERS)
def test_a_teacher_plays_the_song_of_the_chart(kind: str) -> None:
    song = play_as(kind, invent_song(10_001), 10_001)
    marks = grade_take(prepare(song.chart), song.raw).marks
    assert marks["form"] == 100.0
    assert marks.overall >= 90


def test_the_sheet_does_not_show_what_is_played_once() -> None:
    plain = invent_song(10_000)
    song = play_as("a chord once", plain, 10_000)
    assert song.chart != plain.chart
    assert song.sheet == plain.sheet
