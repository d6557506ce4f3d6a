"""Is the touch judged where a take's strikes lie badly out of their order?

Where a hand runs far ahead of the other, a later place may have sounded before an earlier
one, and over such a stretch there is no tempo. Common practice, no source.
"""

from itertools import pairwise
from types import SimpleNamespace
from typing import Any

from evaluator.judge.touch.playing import Moment, Step
from evaluator.judge.touch.pulse import wander
from tests.judge.songs import song


def moment(place: float, time: float) -> Moment:
    return Moment(0, place, 0.6, False, time, None, None)


def test_a_stretch_in_which_time_runs_back_has_no_tempo() -> None:
    times = [float(step) for step in range(10)]
    times += [9.0 - step for step in range(12)]
    times += [-3.0 + step for step in range(20)]
    found = [moment(float(place), time) for place, time in enumerate(times)]
    steps = [
        Step(before, after, 1.0, after.time - before.time, 1.0, after.time - before.time - 1.0)
        for before, after in pairwise(found)
    ]
    last = SimpleNamespace(laid=SimpleNamespace(place=60.0), bar=SimpleNamespace(seconds=2.0))
    playing: Any = SimpleNamespace(graph=song(), heard=[last])
    told = wander(playing, steps)
    assert told is not None
    assert told.slowest > 0
    assert told.percent < 1000
