"""How do several processes share the work, whatever happens to one of them?

Answers are given as soon as everything before them is there. Work is taken up only a
window ahead of the answers: neither waiting work nor answers pile up, however long the
list is.

A worker that dies (out of memory, a crash in a library) breaks its whole pool. Then the
pieces that were under way are done again, each in a worker of its own; the one that kills
its worker a second time is to blame and is answered for by `lost`, and the rest goes on
in a new pool. Workers are started afresh (`spawn`), the same on every system; they leave
an interrupt from the keyboard to the parent, and end with it if it is killed.
"""

import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from threading import Thread
from typing import Any, Final

from evaluator.batch.crew import Answer, Bench, Craft, Setting, Work

UnderWay = deque[tuple[Work, Future[Any] | None]]
"""Pieces without an answer yet, in order."""

AHEAD: Final = 4
"""Pieces per worker that are taken up before the answer that is due next."""


def over_workers(
    craft: Craft[Work, Answer, Setting, Bench],
    setting: Setting,
    pieces: Iterable[Work],
    workers: int,
) -> Iterator[Answer]:
    """One answer for each piece, in their order."""
    waiting = iter(pieces)
    under_way: UnderWay[Work] = deque()
    while True:
        try:
            with _pool(craft, setting, workers) as pool:
                yield from _through(pool, under_way, waiting, AHEAD * workers)
            return
        except BrokenProcessPool:
            while under_way:
                piece, future = under_way.popleft()
                yield _answer(future) if _is_done(future) else _alone(craft, setting, piece)


def _through(
    pool: ProcessPoolExecutor, under_way: UnderWay[Work], waiting: Iterator[Work], window: int
) -> Iterator[Any]:
    """Answers from one pool; what has none yet when it breaks is left in `under_way`."""

    def take_up(count: int) -> None:
        for piece in islice(waiting, count):
            # First in the list, so that a pool that breaks just now loses nothing.
            under_way.append((piece, None))
            under_way[-1] = (piece, pool.submit(_do, piece))

    try:
        take_up(window)
        while under_way:
            answer = _answer(under_way[0][1])
            under_way.popleft()
            yield answer
            take_up(1)
    except BaseException:
        # Whoever listens has stopped, or a worker died: nothing more is begun.
        pool.shutdown(wait=False, cancel_futures=True)
        raise


def _answer(future: Future[Any] | None) -> Any:
    assert future is not None
    return future.result()


def _is_done(future: Future[Any] | None) -> bool:
    return (
        future is not None
        and future.done()
        and not future.cancelled()
        and future.exception() is None
    )


def _alone(craft: Craft[Work, Answer, Setting, Bench], setting: Setting, piece: Work) -> Answer:
    try:
        with _pool(craft, setting, 1) as pool:
            answer: Answer = pool.submit(_do, piece).result()
            return answer
    except BrokenProcessPool:
        return craft.lost(piece)


def _pool(craft: Craft[Any, Any, Any, Any], setting: Any, workers: int) -> ProcessPoolExecutor:
    # Takes that are handed in may lie beside files called like modules; workers, and what
    # looks after them, are not to run those.
    os.environ["PYTHONSAFEPATH"] = "1"
    return ProcessPoolExecutor(
        workers,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_begin,
        initargs=(craft, setting),
    )


_bench: tuple[Craft[Any, Any, Any, Any], Any]
"""In a worker: the craft and what it prepared."""


def _begin(craft: Craft[Any, Any, Any, Any], setting: Any) -> None:
    global _bench
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()
    _bench = (craft, craft.prepare(setting))


def _end_with_parent() -> None:
    """Else a worker would wait for work for ever."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(piece: Any) -> Any:
    craft, bench = _bench
    return craft.do(bench, piece)
