"""How are many pieces of work done, one answer each, wherever the hands are?

A crew does the work: the cores of this machine (`Local`, `evaluator.batch.workers`) or the
workers of a cluster (`evaluator.batch.cluster`). Whoever does it, answers come in the order
of the work, each piece is answered once, and work is taken up only a window ahead of the
answers; so the result does not depend on the crew, and memory not on the amount of work.
"""

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Generic, Protocol, TypeVar

Work = TypeVar("Work")
Answer = TypeVar("Answer")
Setting = TypeVar("Setting")
Bench = TypeVar("Bench")

MOST_WORKERS: Final = 61
"""What Windows can wait for at once."""
FEW: Final = 20
"""Pieces below which starting workers costs more time than they save."""


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


def workers_for(count: int, asked: int | None) -> int:
    """Workers for so many pieces: as asked, else one for a few and all cores for more."""
    most = min(asked or (1 if count < FEW else cores()), MOST_WORKERS)
    return max(1, min(most, count))


def cores() -> int:
    """Cores that this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Local:
    """So many workers on this machine; a single one is this very process."""

    workers: int = 1

    def in_order(
        self,
        craft: Craft[Work, Answer, Setting, Bench],
        setting: Setting,
        pieces: Iterable[Work],
    ) -> Iterator[Answer]:
        """One answer for each piece, in their order."""
        if self.workers <= 1:
            bench = craft.prepare(setting)
            for piece in pieces:
                yield craft.do(bench, piece)
            return
        # Whoever grades a single take need not wait for the machinery of processes.
        from evaluator.batch.workers import over_workers

        yield from over_workers(craft, setting, pieces, self.workers)
