"""Straight or swung, by the chart and by the player. Common practice, no source."""

import pytest

from tests.judge.songs import SONG, song, take
from tests.report.builders import report

EIGHTHS = SONG.replace("right | . . x . . x x .", "right | x x x x x x x x")
SWUNG = EIGHTHS.replace("tempo: 96", "tempo: 96\nfeel: swing 2:1")


@pytest.mark.parametrize("swing", [1.0, 1.1])
def test_straight_eighths_in_a_straight_chart_are_nothing_to_say(swing: float) -> None:
    found = take(graph=song(EIGHTHS), swing=swing, jitter_ms=8, seed=2)
    assert found.tempo.swing == pytest.approx(1.0)
    assert report(found, song(EIGHTHS)).remarks == ()


def test_a_straight_chart_that_is_swung_is_told_once_and_no_strike_is_late() -> None:
    found = take(graph=song(EIGHTHS), swing=2.0, jitter_ms=8, seed=2)
    assert found.tempo.swing == pytest.approx(2.0, abs=0.15)
    assert [fault for bar in found.bars for fault in bar.rhythm.faults] == []
    assert report(found, song(EIGHTHS)).remarks == (
        "The eighths are swung, about 2.0 to 1; the chart has them straight.",
    )


def test_a_swung_chart_that_is_played_straight_is_told() -> None:
    found = take(graph=song(SWUNG), swing=1.0, jitter_ms=8, seed=2)
    assert report(found, song(SWUNG)).remarks == (
        "The eighths are played straight; the chart swings them (2:1).",
    )
