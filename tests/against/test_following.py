"""Where bars begin and which strikes were heard, measured by mir_eval (MIT licence).

`mir_eval.beat` (Davies, Degara and Plumbley 2009, "Evaluation Methods for Musical Audio
Beat Tracking Algorithms"), `mir_eval.onset` and `mir_eval.transcription` (Raffel et al.
2014, ISMIR) with their usual windows of 70 and 50 ms. The takes are simulated, with the
mistakes of form that students make; their truth is written by the simulator. Bars count
by mir_eval from the first one on: the functions that trim five seconds are not used.
"""

from functools import lru_cache
from types import ModuleType

import numpy as np
import numpy.typing as npt
import pytest

from evaluator.follow import Path, follow
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.students import FEW, NONE, HandName, Simulated, simulate

HANDS: tuple[HandName, ...] = ("tidy", "ordinary", "rough")
SEEDS = range(500, 504)
Times = npt.NDArray[np.float64]


@lru_cache(maxsize=16)
def followed(seed: int, hand: HandName, *, faults: bool) -> tuple[Simulated, list[Strike], Path]:
    take = simulate(seed, hand, faults=FEW if faults else NONE)
    heard = strikes(read_take(take.midi_bytes))
    return take, list(heard), follow(take.graph, heard)


def bar_starts(take: Simulated, path: Path) -> tuple[Times, Times]:
    """True and found, seconds."""
    true = np.array([bar.start for bar in take.truth.bars])
    return true, np.array([bar.start for bar in path.bars])


@pytest.mark.parametrize("hand", HANDS)
def test_bars_of_takes_with_mistakes_begin_where_they_were_played(
    mir_eval: ModuleType, hand: HandName
) -> None:
    for seed in SEEDS:
        take, _, path = followed(seed, hand, faults=True)
        true, found = bar_starts(take, path)
        assert mir_eval.beat.f_measure(true, found) >= (0.9 if hand == "rough" else 0.97), seed


@pytest.mark.parametrize("hand", HANDS[:2])
def test_bars_go_on_at_the_right_level_and_in_one_piece(
    mir_eval: ModuleType, hand: HandName
) -> None:
    """No half bars, no double ones, no off-beats: continuity at the very level of the truth."""
    for seed in SEEDS:
        take, _, path = followed(seed, hand, faults=False)
        true, found = bar_starts(take, path)
        continuous, correct, *_ = mir_eval.beat.continuity(true, found)
        assert continuous == correct >= 0.97, seed


def test_an_offbeat_path_would_be_seen(mir_eval: ModuleType) -> None:
    take, _, path = followed(SEEDS[0], "tidy", faults=False)
    true, found = bar_starts(take, path)
    half = float(np.median(np.diff(true))) / 2
    assert mir_eval.beat.f_measure(true, found + half) < 0.1
    assert mir_eval.beat.f_measure(true, found[::2]) < 0.8


@pytest.mark.parametrize("hand", HANDS)
def test_strikes_stand_at_the_places_that_the_path_gives_them(
    mir_eval: ModuleType, hand: HandName
) -> None:
    """A strike's place by beat, laid between the bar lines found, is when it was played."""
    for seed in SEEDS:
        take, heard, path = followed(seed, hand, faults=False)
        laid, played = laid_and_played(take, heard, path)
        window = 0.05 if hand != "rough" else 0.1
        measure, _, _ = mir_eval.onset.f_measure(np.sort(laid), np.sort(played), window=window)
        assert measure >= 0.95, seed


def laid_and_played(take: Simulated, heard: list[Strike], path: Path) -> tuple[Times, Times]:
    """When the places of the strikes lie by the path's bar lines, and when they sounded."""
    laid, played = [], []
    for bar in path.bars[1:-1]:
        beats = float(take.graph.bars[bar.bar].beats)
        for placed in bar.strikes:
            laid.append(bar.start + (bar.end - bar.start) * placed.beat / beats)
            played.append(heard[placed.strike].time)
    return np.array(laid), np.array(played)


@pytest.mark.parametrize("hand", HANDS[:2])
def test_every_strike_of_the_chart_is_paired_with_the_one_that_answers_it(
    mir_eval: ModuleType, hand: HandName
) -> None:
    """mir_eval pairs by time and key: what the chart wants, timed by the true bar lines, with
    what the path puts there. The key is the beat's number in the whole take."""
    for seed in SEEDS:
        take, heard, path = followed(seed, hand, faults=False)
        wanted, found = wanted_notes(take), found_notes(take, heard, path)
        precision, recall, measure, _ = mir_eval.transcription.precision_recall_f1_overlap(
            *wanted, *found, onset_tolerance=0.08, offset_ratio=None
        )
        assert precision >= 0.95, seed
        assert recall >= 0.95, seed
        assert measure <= 1.0


Notes = tuple[Times, Times]
"""(n, 2) intervals in seconds; (n,) frequencies that stand for places of the bar."""


def wanted_notes(take: Simulated) -> Notes:
    """Each place of the chart at which some hand strikes, in every bar as it was played."""
    times, places = [], []
    for true in take.truth.bars:
        bar = take.graph.bars[true.index]
        length = true.end - true.start
        for beat in sorted({strike.beat for strike in bar.strikes}):
            times.append(true.start + length * float(beat / bar.beats))
            places.append(float(beat))
    return as_notes(times, places)


def found_notes(take: Simulated, heard: list[Strike], path: Path) -> Notes:
    """Each strike of the take with the place that the path gives it."""
    placed = [one for bar in path.bars for one in bar.strikes]
    return as_notes([heard[one.strike].time for one in placed], [one.beat for one in placed])


def as_notes(times: list[float], places: list[float]) -> Notes:
    """A semitone for each twelfth of a beat, so that another place is another key."""
    starts = np.array(times)
    intervals = np.stack([starts, starts + 0.05], axis=1)
    return intervals, 100.0 * 2 ** (np.round(np.array(places) * 12) / 12)
