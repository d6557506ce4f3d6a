"""How does a long run end when the system asks it to?

In good order, as at Ctrl-C: workers are told, what was put aside stays for the next run.
Without this the process would be gone at once, and what Python starts beside its workers
would complain on the screen.
"""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

NAMES: Final = ("SIGTERM", "SIGHUP")


@contextmanager
def ending_in_order() -> Iterator[None]:
    """For the time of a run: a request to end raises `SystemExit`, with the status that
    shells have for it (128 and the number of the signal)."""
    numbers = [getattr(signal, name) for name in NAMES if hasattr(signal, name)]
    before = {number: signal.signal(number, _end) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _end(number: int, _: FrameType | None) -> None:
    raise SystemExit(128 + number)
