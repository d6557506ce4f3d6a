"""A pattern goes only where the take passes without it, and no more of them than it needs."""

from fractions import Fraction
from types import SimpleNamespace
from typing import cast

from evaluator.chart.values import FREE
from evaluator.draft.model import DraftPattern
from evaluator.draft.own_take import OwnTake
from evaluator.draft.passing import kept_to, passing
from evaluator.draft.rhythm import Rhythm
from evaluator.draft.visits import Visit

VISITS = [Visit(number, (number,)) for number in range(8)]
HANDS = DraftPattern("hands", ("x", "."), (".", "x"))
RHYTHM = Rhythm((HANDS,), dict.fromkeys(range(8), "hands"), Fraction(1), ())


def own(mark: float) -> OwnTake:
    """A take that keeps less and less to its pattern, section by section."""
    return cast(OwnTake, SimpleNamespace(mark=mark, rhythm=lambda numbers: 1.0 - 0.03 * numbers[0]))


def named(rhythm: Rhythm) -> list[int]:
    return [n for n, name in rhythm.of_section.items() if name != FREE]


def passed(mark: float, each: float) -> list[int]:
    """Sections that have their pattern; each pattern takes so much from the mark."""
    found = own(mark - 8 * each)
    rhythm, _ = passing((RHYTHM, found), VISITS, lambda one: own(mark - each * len(named(one))))
    return named(rhythm)


def test_no_more_patterns_go_than_the_take_needs_to_pass() -> None:
    assert passed(99.0, 0.2) == list(range(8))
    assert passed(98.0, 0.15) == list(range(6))
    assert passed(97.5, 0.1) == list(range(4))
    assert passed(97.0, 0.1) == []


def test_what_does_not_pass_without_patterns_keeps_those_that_cost_little() -> None:
    assert passed(90.0, 0.2) == list(range(8))
    assert passed(90.0, 0.6) == list(range(4))
    assert passed(90.0, 4.0) == []


def test_a_section_that_does_not_keep_to_its_pattern_is_free() -> None:
    loose = Rhythm((HANDS,), RHYTHM.of_section, Fraction(1), (), kept=dict.fromkeys(range(8), 0.5))
    assert named(kept_to(loose, own(99.0), VISITS, range(8))) == [0, 1, 2, 3, 4]
