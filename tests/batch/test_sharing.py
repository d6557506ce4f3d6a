"""A class of many takes fits into memory. Own rule, no source."""

import pickle

from evaluator.batch.class_run import ClassSetting, HandedIn, grade_class
from evaluator.batch.sharing import Sharing
from evaluator.judge.rubric import STEADY
from tests.cli.commands import CHART, take
from tests.playing import WrongBass


def test_takes_that_went_alike_share_what_went_wrong() -> None:
    files = [HandedIn(name, f"{name}.mid", take(WrongBass(2, "A"))) for name in ("Anna", "Ben")]
    outcomes = grade_class(ClassSetting(CHART, "row.txt", STEADY), files)
    # As they come from another process: nothing in them is the same object.
    given = [pickle.loads(pickle.dumps(outcome.take)) for outcome in outcomes]
    shared = Sharing()
    first, second = map(shared, given)
    assert [first, second] == given
    assert first.stumbles
    assert first.stumbles is second.stumbles
    assert first.heard is second.heard
    assert first.headline is second.headline
