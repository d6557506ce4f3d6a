"""A real song's chart with a pattern in it is the same song."""

from evaluator.chart import read_chart
from tests.bench.pop import Song

SONG = Song(
    name="007",
    meter="4/4",
    starts=(0.0, 2.0, 4.0),
    beats=((0.0, 0.5, 1.0, 1.5),) * 3,
    end=6.0,
    bars=("C", "F G / /", "C/E"),
    raw=b"",
)


def test_a_pattern_changes_no_chord_and_no_tempo() -> None:
    plain, patterned = read_chart(SONG.chart()), read_chart(SONG.with_a_pattern(0).chart())
    assert not plain.has_patterns
    assert patterned.has_patterns
    assert [bar.spans for bar in plain.bars] == [bar.spans for bar in patterned.bars]
    assert plain.bpm == patterned.bpm == 120


def test_a_song_has_several_patterns_and_each_the_same_every_time() -> None:
    charts = {SONG.with_a_pattern(number).chart() for number in range(4)}
    assert len(charts) > 1
    assert SONG.with_a_pattern(2).chart() in charts
