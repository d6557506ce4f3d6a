"""Each kind of damage is said once, in one sentence."""

import pytest

from evaluator.take.repairs import SENTENCES, RepairLog


def test_one_case_and_several_are_said_differently() -> None:
    log = RepairLog()
    log.add("bad-value", 40)
    assert [repair.say for repair in log.repairs()] == [
        "An event with an impossible value was left out at byte 40."
    ]
    log.add("bad-value", 90, 2)
    assert [repair.say for repair in log.repairs()] == [
        "3 events with impossible values were left out, first at byte 40."
    ]


def test_kinds_come_in_the_order_in_which_they_were_met() -> None:
    log = RepairLog()
    for kind in ("tempo", "cut", "tempo"):
        log.add(kind, 1)
    assert [repair.kind for repair in log.repairs()] == ["tempo", "cut"]


def test_nothing_wrong_is_nothing_said() -> None:
    assert RepairLog().repairs() == ()


@pytest.mark.parametrize("kind", SENTENCES)
def test_every_kind_has_whole_sentences(kind: str) -> None:
    for count in (1, 3):
        log = RepairLog()
        log.add(kind, 7, count)
        (repair,) = log.repairs()
        assert repair.say[0].isupper() or repair.say[0] == "3"
        assert repair.say.endswith(".")
        assert "{" not in repair.say
