"""With a kernel or without one: the same path, by whichever step there is."""

import numpy as np
import pytest

from evaluator.follow import compiled, follow
from evaluator.follow.compiled import CompiledFollower, ancestors, follower
from evaluator.follow.follower import Follower
from evaluator.follow.grid import lay_out
from tests.follow.songs import LINES, heard, song
from tests.playing import play


@pytest.fixture
def no_kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine without a compiler."""
    monkeypatch.setattr(compiled, "kernel", None)


@pytest.mark.usefixtures("no_kernel")
def test_without_a_kernel_the_step_in_python_follows() -> None:
    grid = lay_out(song(LINES))
    assert type(follower(grid)) is Follower
    with pytest.raises(ImportError, match="was not compiled"):
        CompiledFollower(grid)


def test_the_path_is_the_same_without_a_kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    graph = song(LINES)
    strikes = heard(play(graph, [*range(10), *range(8, 24)], jitter_ms=20, seed=6))
    path = follow(graph, strikes)
    monkeypatch.setattr(compiled, "kernel", None)
    assert follow(graph, strikes) == path
    assert path.bars


@pytest.mark.parametrize("of", [np.int16, np.intp], ids=["the kernel's", "Python's"])
def test_a_hypothesis_comes_from_where_its_back_pointers_lead(of: type) -> None:
    """Worked out by hand: 0 from 2 from 1, 1 begins, 2 from 0 which begins."""
    latest, before = np.array([2, -1, 0], of), np.array([-1, 0, 1], of)
    assert ancestors(3, [latest, before]).tolist() == [1, -1, -1]
    assert ancestors(3, []).tolist() == [0, 1, 2]
