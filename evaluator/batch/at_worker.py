"""What does a worker of a cluster do with what it is sent (`evaluator.batch.cluster`)?

It unpacks each craft with its setting once and keeps what that prepared; every piece is done at
such a bench. A worker with another version of the program says so instead.
"""

import pickle
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from threading import Lock
from typing import Any, Final

from evaluator.batch.program import fingerprint


@dataclass(frozen=True, slots=True)
class Sent:
    """The craft and its setting, packed, and the program that sends them."""

    packed: bytes
    program: str

    @property
    def known_by(self) -> str:
        """A hash of both, by which a worker knows again what it has unpacked before."""
        return sha256(self.packed + self.program.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Differs:
    """The answer of a worker whose program is another one: its marks might differ, too."""


MOST_BENCHES: Final = 4
"""Charts that a worker keeps prepared; several people may use one cluster."""
_benches: dict[str, tuple[Callable[[Any, Any], Any], Any]] = {}
_preparing = Lock()


def as_it_is(sent: Sent) -> Sent:
    """The task by which it comes to a worker."""
    return sent


def do(sent: Sent, packed: bytes) -> bytes:
    """The answer for a piece, both of them packed."""
    if sent.program != fingerprint():
        return pickle.dumps(Differs())
    with _preparing:  # a worker may have several threads
        name = sent.known_by
        if name not in _benches:
            craft, setting = pickle.loads(sent.packed)
            while len(_benches) >= MOST_BENCHES:
                del _benches[next(iter(_benches))]
            _benches[name] = (craft.do, craft.prepare(setting))
        work, bench = _benches[name]
    return pickle.dumps(work(bench, pickle.loads(packed)))
