"""From a chart text and a take's bytes to a report, in one call."""

import pytest

from evaluator import EvaluatorError, grade
from evaluator.errors import ChartError, TakeError
from evaluator.report.json import to_json
from tests.cli.commands import CHART, take
from tests.playing import WrongChord


def test_a_chart_and_a_take_give_a_report() -> None:
    told = grade(CHART, take(WrongChord(3, "G")))
    assert (told.chart.title, told.chart.bars, told.take.complete) == (
        "Copper Kettle Row",
        16,
        True,
    )
    assert told.fix_first == (
        'Verse, bar 3 ("Down by the kettle where the lane ..."): G was played instead of Bm7.',
    )


def test_the_same_take_gives_the_same_report() -> None:
    raw = take(WrongChord(3, "G"), without=(16,))
    assert to_json(grade(CHART, raw)) == to_json(grade(CHART, raw))


def test_what_cannot_be_read_is_refused() -> None:
    with pytest.raises(ChartError):
        grade("no chart", take())
    with pytest.raises(TakeError):
        grade(CHART, b"no take")
    assert issubclass(ChartError, EvaluatorError)
