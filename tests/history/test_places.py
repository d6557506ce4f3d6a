"""Which places are practised today? Rules of this program."""

from datetime import date, timedelta

from evaluator.history.entry import KeptLoop
from evaluator.history.places import Place, places
from tests.history.kept import entry, practised

TODAY = date(2026, 11, 12)
FIVE = KeptLoop(5, 6, 70, "into A/C#: the bass goes to A")
NINE = KeptLoop(9, 12, 80, "the pattern: strikes are left out")


def whole(*wrong: int) -> dict[int, str]:
    return {number: "bass" if number in wrong else "" for number in range(1, 17)}


def asked(*takes: object, rounds: tuple[object, ...] = (), today: date = TODAY) -> list[Place]:
    return list(places(takes, rounds, today))  # type: ignore[arg-type]


def test_what_failed_in_several_takes_comes_before_what_failed_in_the_last() -> None:
    before = [entry(str(n), day=n, bars=whole(6), loops=(FIVE,)) for n in range(3)]
    last = entry("x", day=4, bars=whole(6, 10), loops=(NINE, FIVE))
    first, second = asked(*before, last)
    assert (first.first, first.last, first.bpm) == (5, 6, 70)
    assert first.why == "in each of the last four takes, into A/C#: the bass goes to A"
    assert second.why == "in the last take, the pattern: strikes are left out"


def test_what_the_report_puts_first_comes_first_among_equals() -> None:
    found = asked(entry(bars=whole(6, 10), loops=(NINE, FIVE)))
    assert [place.first for place in found] == [9, 5]


def test_what_has_come_right_since_is_left_in_peace() -> None:
    found = asked(entry("a", bars=whole(6), loops=(FIVE,)), entry("b", day=1, bars=whole()))
    assert found == []


def test_a_take_that_did_not_reach_a_place_says_nothing_of_it() -> None:
    short = entry("b", day=1, bars={1: "", 2: ""})
    (place,) = asked(entry("a", bars=whole(6), loops=(FIVE,)), short)
    assert place.why.startswith("in the last take")


def test_what_older_versions_kept_has_no_advice_and_bars_that_were_wrong() -> None:
    (place,) = asked(entry(bars=whole(6)))
    assert (place.first, place.last, place.bpm) == (5, 6, None)


def test_another_rhythm_than_the_patterns_is_nothing_to_practise() -> None:
    assert asked(entry(bars={1: "", 2: "otherwise"})) == []


def test_what_was_mastered_after_the_last_take_rests_until_it_is_due() -> None:
    take = entry(bars=whole(6), loops=(FIVE,))
    mastered = practised(day=1, bpm=96)
    assert asked(take, rounds=(mastered,), today=date(2026, 11, 4)) == []
    (place,) = asked(take, rounds=(mastered,), today=date(2026, 11, 5))
    assert place.why == "mastered on 2026-11-03, and time to see whether it is still there"
    assert place.reached == 96


def test_what_failed_after_it_was_mastered_is_asked_for_at_once() -> None:
    failed = entry(day=2, bars=whole(6), loops=(FIVE,))
    (place,) = asked(failed, rounds=(practised(day=1, bpm=96),), today=date(2026, 11, 4))
    assert place.why == ("in the last take, into A/C#: the bass goes to A; 96 of 96 reached so far")


def test_what_was_begun_goes_on_unless_a_take_went_well_since() -> None:
    begun = practised(day=1, bpm=72, hand="right")
    (place,) = asked(rounds=(begun,))
    assert (place.hand, place.reached) == ("right", 72)
    assert place.why == "begun and not yet at the chart's tempo; 72 of 96 reached so far"
    assert asked(entry(day=2, bars=whole()), rounds=(begun,)) == []


def test_no_more_than_three_places_and_none_twice() -> None:
    loops = tuple(KeptLoop(at, at + 1, 70, "x") for at in (1, 3, 5, 7))
    found = asked(entry(bars=whole(*range(1, 9)), loops=loops), rounds=(practised(bpm=72),))
    assert [place.first for place in found] == [1, 3, 5]


def test_of_long_ago_nothing_is_said() -> None:
    old = entry("old", bars=whole(6), loops=(FIVE,))
    later = [entry(str(n), day=n, bars={1: ""}) for n in range(1, 6)]
    assert asked(old, *later, today=TODAY + timedelta(9)) == []
