"""How do the workers of a cluster do the work (Dask, `dask.distributed`)?

A scheduler runs somewhere, and workers on any number of machines are known to it. The craft
and its setting (the chart, the rubric) travel to each worker once, as a task known by the
hash of what it says, so that it can be had again wherever it is lost; the pieces travel as
bytes, and so do the answers. Only a window of pieces is with the scheduler, by the number of
workers' threads and by bytes, so that neither it nor this program holds more.

A worker that is lost is no matter: the scheduler gives its pieces to others. A piece whose
workers die again and again (`distributed.scheduler.allowed-failures`) may only have stood
beside the one that kills them; it is tried once more with nothing else under way, and if
they die again it is answered for by `lost`.

What a worker says is unpickled here: a cluster is trusted as one's own machine is.
"""

import logging
import pickle
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import takewhile
from socket import create_connection
from time import monotonic
from typing import Any, Final
from uuid import uuid4

from evaluator.batch.at_worker import Differs, Sent, as_it_is, do
from evaluator.batch.crew import Answer, Bench, Craft, Setting, Work
from evaluator.batch.program import fingerprint
from evaluator.errors import EvaluatorError, UsageError

NO_DASK: Final = (
    "A cluster needs the package distributed, which is not installed. "
    "Install it with: pip install distributed"
)
AHEAD: Final = 8
"""Pieces per thread of the workers that are with the scheduler at once; the way there and
back must not leave a worker idle."""
MOST_BYTES: Final = 64_000_000
"""Of the pieces that are with the scheduler at once."""
CONNECT_SECONDS: Final = 10.0
TRIES: Final = 3
LOOK_SECONDS: Final = 2.0
"""After this time it is looked again how many workers there are."""
NO_WORKER_SECONDS: Final = 60.0
"""Without any worker for so long nothing is waited for any more."""
CLOSE_SECONDS: Final = 5.0


class ClusterError(EvaluatorError):
    """The cluster cannot do the work; says why."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """The workers of the scheduler at an address: `host:8786`, `tcp://host:8786`."""

    address: str

    def in_order(
        self,
        craft: Craft[Work, Answer, Setting, Bench],
        setting: Setting,
        pieces: Iterable[Work],
    ) -> Iterator[Answer]:
        """One answer for each piece, in their order. Raises `ClusterError`."""
        check_installed()
        with _told(self.address), _client(self.address) as client:
            yield from _Run(client, craft, setting, iter(pieces)).answers()


def check_installed() -> None:
    """Raises `UsageError` where the library is not installed."""
    if find_spec("distributed") is None:
        raise UsageError(NO_DASK)


@contextmanager
def _client(address: str) -> Iterator[Any]:
    import dask
    import distributed

    for name in ("distributed", "distributed.client"):
        # What goes wrong is told by us, in a sentence.
        logging.getLogger(name).setLevel(logging.CRITICAL)
    if _refuses(address):
        raise ClusterError(_NOBODY.format(address=address))
    try:
        with warnings.catch_warnings():
            # That versions differ is told when it does harm.
            warnings.filterwarnings("ignore", module="distributed")
            client = _connected(distributed.Client, address)
    except (OSError, ValueError, TypeError) as error:
        raise ClusterError(_NOBODY.format(address=address)) from error
    except ImportError as error:
        raise ClusterError(_OTHER_DASK.format(address=address)) from error
    try:
        # A take of any length is no reason to warn.
        with dask.config.set({"distributed.admin.large-graph-warning-threshold": "1GB"}):
            yield client
    finally:
        with suppress(OSError, RuntimeError):
            client.close(timeout=CLOSE_SECONDS)


def _connected(client: Callable[..., Any], address: str) -> Any:
    """A client. The library gives up where a thread of its own has not begun within ten seconds,
    as happens on a busy machine: it is asked again. Raises `ClusterError`."""
    for _ in range(TRIES):
        with suppress(AssertionError):
            return client(address, timeout=CONNECT_SECONDS)
    raise ClusterError(_BUSY)


def _refuses(address: str) -> bool:
    """Whether nobody listens there at all, so that there is no use in waiting for an answer."""
    from distributed.comm.addressing import get_address_host_port

    try:
        create_connection(get_address_host_port(address), timeout=CONNECT_SECONDS).close()
    except ConnectionRefusedError:
        return True
    except (OSError, ValueError):
        pass  # by another way than this one, perhaps
    return False


_NOBODY: Final = (
    "No Dask scheduler answers at {address}. Start one with `dask scheduler`; it prints its "
    "address."
)
_BUSY: Final = "This machine is too busy to speak with the cluster; try again later."
_OTHER_DASK: Final = (
    "The scheduler at {address} runs another version of Dask; install "
    "the same version in both places."
)
_OTHER_PROGRAM: Final = (
    "A worker of the cluster has another version of this program, or none; install the same one "
    "there."
)
_GONE: Final = "The scheduler at {address} stopped answering during the work."
_NO_WORKER: Final = (
    "The scheduler has had no worker for a minute. Start one with `dask worker ADDRESS`."
)


@contextmanager
def _told(address: str) -> Iterator[None]:
    """What the library raises, in a sentence."""
    from asyncio import CancelledError as Cancelled
    from concurrent.futures import CancelledError

    try:
        yield
    except (OSError, Cancelled, CancelledError) as error:
        # A connection that broke; `CommClosedError` and `TimeoutError` are system errors, too.
        raise ClusterError(_GONE.format(address=address)) from error


@dataclass(slots=True)
class _UnderWay:
    """A piece that is with the scheduler."""

    packed: bytes
    future: Any
    answer: bytes | None = None
    """Once it is here."""
    alone: bool = False
    """Whether it is tried with nothing else under way, after its workers died."""

    def is_there(self) -> bool:
        """Whether the answer is here or can be had."""
        return self.answer is not None or self.future.status == "finished"


class _Run:
    """The work of one run: what waits, what is under way."""

    def __init__(
        self, client: Any, craft: Craft[Any, Any, Any, Any], setting: Any, waiting: Iterator[Any]
    ) -> None:
        self._client, self._craft, self._waiting = client, craft, waiting
        sent = Sent(pickle.dumps((craft, setting)), fingerprint())
        self._sent = client.submit(as_it_is, sent, key=f"evaluator-setting-{sent.known_by}")
        self._name = f"evaluator-take-{uuid4().hex}"
        self._count = 0
        self._under_way: deque[_UnderWay] = deque()
        self._bytes = 0
        self._threads = _Threads(client)

    def answers(self) -> Iterator[Any]:
        self._fill()
        while self._under_way:
            if not self._under_way[0].is_there():
                self._wait([self._under_way[0].future])
            for answer in self._first():
                self._fill()
                yield answer

    def _fill(self) -> None:
        """Give the scheduler as much as the window takes."""
        while (
            len(self._under_way) < max(1, AHEAD * self._threads.count())
            and self._bytes < MOST_BYTES
            and not (self._under_way and self._under_way[0].alone)
        ):
            for piece in self._waiting:
                packed = pickle.dumps(piece)
                self._bytes += len(packed)
                self._under_way.append(_UnderWay(packed, self._submitted(packed)))
                break
            else:
                return

    def _submitted(self, packed: bytes) -> Any:
        self._count += 1
        return self._client.submit(
            do, self._sent, packed, key=f"{self._name}-{self._count}", pure=False
        )

    def _wait(self, futures: Sequence[Any]) -> None:
        """Until all of them are done, one way or the other."""
        from distributed import wait

        while not all(future.done() for future in futures):
            self._threads.count()
            with suppress(TimeoutError):
                wait(futures, timeout=LOOK_SECONDS)

    def _first(self) -> list[Any]:
        """Answers of the pieces that are due, as many as are done, in one go."""
        due = list(takewhile(_UnderWay.is_there, self._under_way))
        if not due:
            return self._failed()
        if not self._bring(due):
            return []
        for one in due:
            self._under_way.popleft()
            self._bytes -= len(one.packed)
        answers = [pickle.loads(one.answer) for one in due if one.answer is not None]
        if any(isinstance(answer, Differs) for answer in answers):
            raise ClusterError(_OTHER_PROGRAM)
        return answers

    def _bring(self, done: Iterable[_UnderWay]) -> bool:
        """Fetch answers; False if one was lost on the way and its workers died over it again."""
        from distributed import KilledWorker

        far = [one for one in done if one.answer is None]
        try:
            answers = self._client.gather([one.future for one in far])
        except KilledWorker:
            return False
        for one, answer in zip(far, answers, strict=True):
            one.answer = answer
        return True

    def _failed(self) -> list[Any]:
        """The first piece was given up by the scheduler."""
        from distributed import KilledWorker

        one = self._under_way[0]
        error = None if one.future.cancelled() else one.future.exception()
        if isinstance(error, (ImportError, AttributeError)):
            raise ClusterError(_OTHER_PROGRAM) from error
        if error is None:
            one.future.result()  # raises what `_told` tells
        if not isinstance(error, KilledWorker):
            raise ClusterError(f"A worker of the cluster failed: {error}") from error
        if not one.alone:
            self._try_alone()
            return []
        self._under_way.popleft()
        self._bytes -= len(one.packed)
        return [self._craft.lost(pickle.loads(one.packed))]

    def _try_alone(self) -> None:
        """Try the first piece once more when everything else under way is done and here; what
        a dying worker still has would be done again, beside it."""
        first, *others = self._under_way
        self._wait([one.future for one in others])
        self._bring(one for one in others if one.is_there())
        first.future = self._submitted(first.packed)
        first.alone = True


class _Threads:
    """How many threads the workers have, looked up now and then."""

    def __init__(self, client: Any) -> None:
        self._client = client
        self._count = 0
        self._looked = -LOOK_SECONDS
        self._seen = monotonic()

    def count(self) -> int:
        """Raises `ClusterError` when there has been no worker for too long."""
        now = monotonic()
        if now - self._looked >= LOOK_SECONDS:
            self._looked = now
            self._count = sum(self._client.nthreads().values())
            self._seen = now if self._count else self._seen
        if now - self._seen > NO_WORKER_SECONDS:
            raise ClusterError(_NO_WORKER)
        return self._count
