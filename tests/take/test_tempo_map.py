"""Ticks become seconds by the division and the tempo marks (Standard MIDI Files 1.0)."""

import numpy as np
import pytest

from evaluator.errors import TakeError
from evaluator.take.tempo_map import TempoMark, seconds_at


def test_without_a_tempo_mark_there_are_120_quarters_a_minute() -> None:
    assert seconds_at([0, 480, 960], 480).tolist() == [0.0, 0.5, 1.0]


def test_each_tempo_holds_from_its_mark_on() -> None:
    # One quarter at 120, two at 60, the rest at 240 a minute.
    marks = [TempoMark(96, 1_000_000), TempoMark(288, 250_000)]
    assert seconds_at([48, 96, 192, 288, 384], 96, marks).tolist() == [0.25, 0.5, 1.5, 2.5, 2.75]


def test_of_two_marks_at_one_tick_the_later_counts() -> None:
    assert seconds_at([96], 96, [TempoMark(0, 900_000), TempoMark(0, 1_000_000)]).tolist() == [1.0]


def test_no_ticks_are_no_seconds() -> None:
    assert seconds_at([], 96).shape == (0,)


def test_time_never_goes_back() -> None:
    ticks = np.arange(5000)
    marks = [TempoMark(tick, 1 + 7919 * tick % 2_000_000) for tick in range(0, 5000, 37)]
    assert (np.diff(seconds_at(ticks, 480, marks)) > 0).all()


@pytest.mark.parametrize(
    ("division", "per_second"),
    # The upper byte is the rate with its sign changed; 29 stands for 30,000/1,001.
    [(0xE728, 1000.0), (0xE850, 1920.0), (0xE250, 2400.0), (0xE364, 100 * 30_000 / 1_001)],
)
def test_film_frames_measure_seconds_whatever_the_tempo(division: int, per_second: float) -> None:
    assert seconds_at([6000], division, [TempoMark(0, 1)])[0] == pytest.approx(6000 / per_second)


@pytest.mark.parametrize("division", [0, 0xE700, 0xFF28, 0x8028])
def test_a_division_that_measures_no_time_is_refused(division: int) -> None:
    with pytest.raises(TakeError, match="Export the take again"):
        seconds_at([1], division)
