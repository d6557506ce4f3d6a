"""The slow course of a take's time. Eight beats: Sogorski, Geisel, Priesemann (2018)."""

from dataclasses import replace

import numpy as np
import pytest

from evaluator.judge.pace import fit_course
from tests.judge.songs import judged, song
from tests.playing import play

BEAT = 0.6
PLACES = np.arange(64) * BEAT / 2
REACH = 4 * BEAT


def due(times: np.ndarray, places: np.ndarray = PLACES) -> np.ndarray:
    course = fit_course(PLACES, times, np.ones(64), reach=REACH, pace=1.0)
    return course.times(places)


@pytest.mark.parametrize("speed", [0.5, 1.0, 2.0])
def test_even_playing_is_on_its_own_course(speed: float) -> None:
    times = 3.0 + PLACES / speed
    assert due(times) == pytest.approx(times, abs=0.002)


def test_a_late_strike_does_not_drag_its_own_yardstick_along() -> None:
    times = PLACES.copy()
    times[20] += 0.150
    assert due(times)[20] == pytest.approx(PLACES[20], abs=0.005)


def test_a_late_last_strike_is_late_as_well() -> None:
    times = PLACES.copy()
    times[-1] += 0.150
    assert times[-1] - due(times)[-1] > 0.12


def test_jitter_is_averaged_out() -> None:
    jitter = np.random.default_rng(1).normal(0, 0.02, 64)
    assert np.abs(due(PLACES + jitter) - PLACES).max() < 0.025


def test_slow_wandering_of_the_tempo_is_followed() -> None:
    times = PLACES + 0.4 * np.sin(PLACES / 19.2 * 2 * np.pi)
    assert np.abs(due(times) - times).max() < 0.035


def test_an_hour_is_as_exact_as_a_minute() -> None:
    """Moments of a window taken as differences of sums over everything would lose it."""
    places = np.arange(24_000) * 0.15
    times = places + 0.4 * np.sin(places / 19.2 * 2 * np.pi)
    course = fit_course(places, times, np.ones(len(places)), reach=REACH, pace=1.0)
    apart = course.times(places) - times
    # Between the ends the same wave comes again every 19.2 seconds, 128 points.
    later = 128 * 170
    assert apart[640 + later : 1280 + later] == pytest.approx(apart[640:1280], abs=1e-5)


def test_nobody_is_late_in_a_ritardando() -> None:
    performance = play(song())
    begins = performance.truth.bars[-2].start

    def slowed(time: float) -> float:
        since = max(0.0, time - begins)
        return time + 0.06 * since**2

    notes = tuple(
        replace(note, onset=slowed(note.onset), offset=slowed(note.offset))
        for note in performance.notes
    )
    bars = tuple(
        replace(bar, start=slowed(bar.start), end=slowed(bar.end)) for bar in performance.truth.bars
    )
    truth = replace(performance.truth, bars=bars)
    verdict = judged(song(), replace(performance, notes=notes, truth=truth))
    assert [fault for bar in verdict.bars[:-1] for fault in bar.rhythm.faults] == []
