"""Where the bars of the demonstration takes begin, measured by mir_eval.

`mir_eval.beat.f_measure` (Davies, Degara and Plumbley 2009, "Evaluation Methods for Musical
Audio Beat Tracking Algorithms") with its usual window of 70 ms. The truth stands beside
each recording. The first seconds count like all others: it is only `mir_eval.beat.evaluate`
that leaves out the first five, as nobody taps along at once.
"""

from pathlib import Path
from types import ModuleType
from typing import Final

import numpy as np
import pytest

from evaluator.grading import grade_fully, prepare
from tests.playing import Truth

ROOT: Final = Path(__file__).resolve().parents[2]
LEAST: Final = {"clean": 0.99, "student": 0.95, "short-tail": 0.99}
SONGS: Final = ("kettle_lane", "tallow_moon", "ladder_shuffle")
WINDOW: Final = 0.070


@pytest.mark.parametrize("kind", LEAST)
@pytest.mark.parametrize("song", SONGS)
def test_bars_of_the_demonstration_takes_begin_where_they_were_played(
    mir_eval: ModuleType, song: str, kind: str
) -> None:
    take = ROOT / "recordings" / f"{song}-{kind}.mid"
    chart = (ROOT / "charts" / f"{song}.txt").read_text(encoding="utf-8")
    truth = Truth.from_json(take.with_suffix(".truth.json").read_text(encoding="utf-8"))
    graded = grade_fully(prepare(chart), take.read_bytes())
    true = np.array([bar.start for bar in truth.bars])
    found = np.array([bar.verdict.start for bar in graded.report.bars])
    assert mir_eval.beat.f_measure(true, found, f_measure_threshold=WINDOW) >= LEAST[kind]


def test_bars_in_another_place_would_be_seen(mir_eval: ModuleType) -> None:
    true = np.arange(0.0, 60.0, 2.0)
    assert mir_eval.beat.f_measure(true, true + 0.069, f_measure_threshold=WINDOW) == 1.0
    assert mir_eval.beat.f_measure(true, true + 0.071, f_measure_threshold=WINDOW) == 0.0
    # The first seconds count.
    assert mir_eval.beat.f_measure(true, true[3:], f_measure_threshold=WINDOW) < 0.95
