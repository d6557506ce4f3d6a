"""When are the hands to rest? Common practice, no source; not a medical rule."""

from evaluator.practise.resting import Stint


def test_after_ten_minutes_on_one_passage_a_rest_is_due() -> None:
    assert Stint().after(599).due is None
    assert Stint().after(600).due == "passage"


def test_another_passage_begins_its_ten_minutes_anew_and_not_the_thirty() -> None:
    stint = Stint()
    for _ in range(3):
        assert stint.due is None
        stint = stint.other_passage().after(599)
    assert stint.after(3).due == "all"


def test_a_rest_for_the_passage_is_none_for_the_whole_and_the_other_way_round() -> None:
    assert Stint(600, 1300).rested() == Stint(0, 1300)
    assert Stint(100, 1800).rested() == Stint()
