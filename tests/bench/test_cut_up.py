"""Whatever the order of the bars, a take is graded and told. Common practice, no source."""

from contextlib import suppress
from itertools import pairwise

import pytest

from evaluator.errors import TakeError
from tests.bench.cut_up import by_file, cut_up, live


@pytest.mark.parametrize("seed", [1, 4, 5, 6])
def test_a_cut_up_take_is_graded(seed: int) -> None:
    with suppress(TakeError):  # a passage to which the take does not come
        by_file(seed)


@pytest.mark.parametrize("seed", [30])
def test_a_cut_up_take_is_followed_as_it_sounds(seed: int) -> None:
    live(seed)


def test_takes_are_cut_up_in_every_way() -> None:
    """Bars skipped, gone back for, come again; broken off, halted; stopped before the end."""
    takes = [cut_up(seed) for seed in range(30)]
    orders = [[bar.index for bar in take.truth.bars] for _, _, take in takes]
    steps = [after - before for order in orders for before, after in pairwise(order)]
    assert {-1, 0, 1, 2} < set(steps)
    assert {form.kind for _, _, take in takes for form in take.truth.form} == {"break", "restart"}
    assert {take.truth.complete for _, _, take in takes} == {True, False}
    assert cut_up(7)[2] == cut_up(7)[2]
