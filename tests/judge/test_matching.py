"""Expected and played strikes in pairs. Common practice, no source, unless one is named."""

from evaluator.judge.matching import match


def test_each_strike_answers_its_own_place() -> None:
    assert match([0.0, 1.0, 2.0], [0.02, 0.97, 2.05], [0.3] * 3) == [0, 1, 2]


def test_a_missing_strike_leaves_its_place_unanswered() -> None:
    assert match([0.0, 0.5, 1.0], [0.0, 1.0], [0.4] * 3) == [0, None, 1]


def test_two_a_little_off_are_worth_more_than_one_that_is_exact() -> None:
    assert match([0.0, 0.3], [0.0 - 0.25, 0.0], [0.4] * 2) == [0, 1]


def test_pairs_never_cross_and_none_is_used_twice() -> None:
    pairs = match([0.0, 0.1, 0.2], [0.05, 0.15], [0.3] * 3)
    found = [pair for pair in pairs if pair is not None]
    assert found == [0, 1]


def test_a_strike_out_of_reach_answers_nothing() -> None:
    assert match([0.0], [0.5], [0.4]) == [None]
    assert match([], [0.5], []) == []
    assert match([0.5], [], [0.4]) == [None]
