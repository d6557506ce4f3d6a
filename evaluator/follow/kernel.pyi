"""`kernel.c` and `step.c`, compiled; see `compiled`."""

from collections.abc import Callable, Mapping

from evaluator.follow.grid import Floats, Whole

class Kernel:
    """The step of one song."""

    def __init__(
        self,
        floats: Mapping[str, Floats],
        wholes: Mapping[str, Whole],
        numbers: Mapping[str, float],
        leaving: Callable[[int], tuple[Whole, Floats]],
        restarting: Callable[[int], Floats],
    ) -> None: ...
    def step(
        self,
        time: float,
        since: float,
        outside: float,
        suits: float,
        heard: Floats,
        place: Floats,
        position: Whole,
        cost: Floats,
        beat_time: Floats,
        ratio: Floats,
        doubt: Floats,
        amiss: Floats,
        /,
    ) -> tuple[bytes, ...]:
        """The cells after a strike, of those before it: a block of bytes for each field."""

def ancestors(count: int, backs: list[Whole], /) -> bytes:
    """The cell from which each comes, two bytes each; back pointers from the latest strike."""
