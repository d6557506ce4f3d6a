"""What is done by a crew, and what makes one?

A crew does many pieces of work: the cores of this machine (`evaluator.batch.pool`) or the
workers of a cluster (`evaluator.batch.cluster`). Whoever does it, answers come in the order
of the work, each piece is answered once, and work is taken up only a window ahead of the
answers; so the result does not depend on the crew, and memory not on the amount of work.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

Work = TypeVar("Work")
Answer = TypeVar("Answer")
Setting = TypeVar("Setting")
Bench = TypeVar("Bench")


@dataclass(frozen=True, slots=True)
class Craft(Generic[Work, Answer, Setting, Bench]):
    """How a piece of work is done. The functions stand at the top of a module, so that a
    worker can import them; everything that passes is plain values."""

    prepare: Callable[[Setting], Bench]
    """Done once in every worker."""
    do: Callable[[Bench, Work], Answer]
    lost: Callable[[Work], Answer]
    """Answers for a piece that kills its worker whenever it is tried."""


class Crew(Protocol):
    """Who does the work."""

    def in_order(
        self,
        craft: Craft[Work, Answer, Setting, Bench],
        setting: Setting,
        pieces: Iterable[Work],
    ) -> Iterator[Answer]:
        """One answer for each piece, in their order."""
        ...
