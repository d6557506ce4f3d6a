"""How fast, how steady? Slow wandering is no unsteadiness: Sogorski et al. (2018)."""

import pytest

from evaluator.judge.tempo import judge_tempo
from tests.judge.songs import SONG, song, take
from tests.playing import Pause


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
    drifting = [(4.0, 2.0, 2.0 * 1.01**bar) for bar in range(16)]
    swaying = [(4.0, 2.0, 2.0 * (1.08 if bar % 2 else 1.0)) for bar in range(16)]
    graph = song()
    steady = judge_tempo(graph, drifting).steadiness_pct
    assert steady < 0.5
    assert judge_tempo(graph, swaying).steadiness_pct > 2.0


def test_a_halt_is_no_tempo() -> None:
    assert take(Pause(3, 2.0, 1.5)).tempo.steadiness_pct < 0.5
    assert take(Pause(3, 2.0, 1.5)).bars[2].bpm == pytest.approx(96.0, rel=0.02)
