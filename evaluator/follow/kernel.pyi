"""`kernel.pyx`, compiled; see `compiled`."""

from collections.abc import Mapping, Sequence
from typing import Any

from numpy.typing import NDArray

from evaluator.follow.follower import Follower
from evaluator.follow.grid import Whole
from evaluator.follow.positions import Floats

class Kernel:
    """The step of one take through one song."""

    def __init__(
        self, numbers: Mapping[str, float], tables: Mapping[str, NDArray[Any]]
    ) -> None: ...
    def step(
        self,
        of: Follower,
        time: float,
        since: float,
        outside: float,
        suits: float,
        heard: Floats,
        placed: Floats,
        adorning: Floats,
    ) -> bytes:
        """The cells after a strike: so many rows of `CELL`."""

def go_back(cells: Whole, backs: Sequence[Whole]) -> None:
    """From cells to those from which they come, in place; both two bytes each."""
