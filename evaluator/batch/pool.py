"""How many processes of this machine share the work?

A single one is this very process; several are `evaluator.batch.workers`.
"""

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from evaluator.batch.crew import Answer, Bench, Craft, Setting, Work

MOST_WORKERS: Final = 61
"""What Windows can wait for at once."""
FEW: Final = 20
"""Pieces below which starting workers costs more time than they save."""


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
