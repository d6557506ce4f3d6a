"""When was a key struck, if neither of two clocks can be trusted alone?

The driver says how long after the message before it each message came (`delta`); the
program notes when it fetched the message (`host`). The host's time is late whenever the
program was busy. The sum of the deltas wanders off for ever after one wrong delta, and
wrong ones are common: the first of a connection is 0, and some systems give every message
of a packet the delta of the whole packet. So a message came at

    min(host, time of the message before + delta)

which a wrong long delta cannot carry past the present, and a busy program cannot delay.
What is left is a driver whose deltas are too short, or whose clock is slow: if the times
stay behind the host's by more than 20 ms over two seconds of messages, they are moved up
by the least of these differences, that of a message which was fetched in time.

Units: seconds of the host's clock.
"""

import time
from collections import deque
from collections.abc import Callable

BEHIND = 0.020
"""Seconds; more than any driver keeps a message back."""
LASTING = 2.0
"""Seconds of messages that must all be behind: no program is busy that long."""

Clock = Callable[[], float]
"""Seconds from some moment in the past."""


class Stamper:
    """Gives each message of one connection its time, in the order of arrival."""

    __slots__ = ("_late", "_least", "_time")

    def __init__(self) -> None:
        self._time: float | None = None
        self._late: deque[tuple[float, float]] = deque()
        """(host, host - time) of the last messages."""
        self._least: deque[float] = deque()
        """Of these, those than which no later one is less: the least comes first."""

    def stamp(self, delta: float, host: float) -> float:
        """The time of one message; never before that of the message before it."""
        if self._time is None:
            self._time = host
            return host
        self._time = min(host, self._time + max(delta, 0.0))
        self._note(host, host - self._time)
        if host - self._late[0][0] >= LASTING and self._least[0] > BEHIND:
            self._time += self._least[0]
            self._forget()
        return self._time

    def _note(self, host: float, late: float) -> None:
        """Add to the last messages, and leave out what is no longer one of them."""
        while self._least and self._least[-1] > late:
            self._least.pop()
        self._least.append(late)
        self._late.append((host, late))
        while len(self._late) > 1 and host - self._late[1][0] >= LASTING:
            _, gone = self._late.popleft()
            if gone == self._least[0]:
                self._least.popleft()

    def _forget(self) -> None:
        self._late.clear()
        self._least.clear()

    def begin_anew(self) -> None:
        """After a new connection: its first delta means nothing."""
        self._time = None
        self._forget()


def host_clock() -> float:
    """Seconds, the same for all processes of a machine while it runs."""
    return time.perf_counter()


def sped_up(speed: float, start: float, clock: Clock = host_clock) -> Clock:
    """A clock that runs `speed` times as fast from `start` on."""
    return lambda: start + (clock() - start) * speed
