"""How fast, how steady? Slow wandering is no unsteadiness: Sogorski et al. (2018)."""

from dataclasses import replace

import pytest

from evaluator.judge.tempo import BarPace, drift, judge_tempo, section_tempi
from evaluator.judge.verdict import BarVerdict
from tests.judge.songs import HEAD, SONG, song, take
from tests.judge.truth_path import judged
from tests.playing import Pause, play


@pytest.mark.parametrize("speed", [0.6, 1.0, 1.3])
def test_the_median_tempo_is_the_takes(speed: float) -> None:
    tempo = take(tempo=speed).tempo
    assert tempo.chart == 96.0
    assert tempo.median == pytest.approx(96.0 * speed, rel=0.005)
    assert tempo.steadiness_pct == pytest.approx(0.0, abs=0.1)


def test_a_tempo_that_the_chart_changes_is_not_the_players_change() -> None:
    text = SONG.replace("[Bridge] optional", "[Bridge] optional tempo 72")
    tempo = take(graph=song(text)).tempo
    assert tempo.median == pytest.approx(96.0, rel=0.01)
    assert tempo.steadiness_pct < 1.0


def test_swaying_is_less_steady_than_drifting() -> None:
    drifting = [BarPace(4.0, 2.0, 2.0 * 1.01**bar) for bar in range(16)]
    swaying = [BarPace(4.0, 2.0, 2.0 * (1.08 if bar % 2 else 1.0)) for bar in range(16)]
    graph = song()
    steady = judge_tempo(graph, drifting).steadiness_pct
    assert steady < 0.5
    assert judge_tempo(graph, swaying).steadiness_pct > 2.0


def test_a_halt_is_no_tempo() -> None:
    assert take(Pause(3, 2.0, 1.5)).tempo.steadiness_pct < 0.5
    assert take(Pause(3, 2.0, 1.5)).bars[2].bpm == pytest.approx(96.0, rel=0.02)


LONG = (
    HEAD + "[Verse]\n| D | G | A | D |\n| D | G | A | D |\n[Solo]\n| G | D | Em7 | A |\n[Verse]\n"
)


def test_a_section_much_slower_than_the_rest_is_named_with_both_tempi() -> None:
    graph = song(LONG)
    before, slow, after = (
        judged(graph, play(graph, bars, tempo=tempo))
        for bars, tempo in ((range(8), 1.0), (range(8, 12), 0.6), (range(12, 20), 1.0))
    )
    (found,) = section_tempi(graph, [*before.bars, *slow.bars, *after.bars])
    assert (found.section, round(found.bpm), round(found.rest)) == (1, 58, 96)


@pytest.mark.parametrize("manner", [{}, {"wander_pct": 3, "seed": 5}, {"tempo": 0.6}])
def test_a_tempo_that_wanders_or_is_slow_throughout_is_no_sections_own(
    manner: dict[str, float],
) -> None:
    assert take(graph=song(LONG), **manner).tempo.sections == ()


def drifting(*tempi: float) -> list[BarVerdict]:
    """Bars of a song, each at its own tempo, beats a minute."""
    bars = judged(song(LONG), play(song(LONG))).bars
    return [replace(bar, bpm=bpm) for bar, bpm in zip(bars, tempi, strict=False)]


def test_a_tempo_that_gets_slower_from_bar_to_bar_drifts() -> None:
    found = drift(song(LONG), drifting(*(96.0 * 0.98**bar for bar in range(20))))
    assert found is not None
    assert (round(found.first), round(found.last)) == (96, 65)


@pytest.mark.parametrize(
    "tempi",
    [[96.0] * 20, [96.0] * 10 + [70.0] * 10, [96.0 + 8 * (-1) ** bar for bar in range(20)]],
    ids=["steady", "slow from the middle on", "to and fro"],
)
def test_a_tempo_that_changes_otherwise_does_not_drift(tempi: list[float]) -> None:
    assert drift(song(LONG), drifting(*tempi)) is None
