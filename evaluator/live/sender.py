"""How does a message get to the piano at its moment?

Whatever is to be heard at a certain moment waits here, beside the fetching of what is played,
which nothing delays: the program above says it some tenths of a second ahead and may be busy
then. When it is hushed, what waits is dropped and what sounds is let go.

Units: seconds of the host's clock.
"""

import heapq
from collections.abc import Callable
from typing import Final

from evaluator.live.echoes import Echoes
from evaluator.live.messages import NOTE_OFF, strikes

LATE: Final = 0.1
"""Seconds after which a key is no longer worth striking."""


class Sender:
    """Messages that wait for their moment, and keys that sound."""

    def __init__(self, send: Callable[[bytes], None], echoes: Echoes) -> None:
        self._send, self._echoes = send, echoes
        self._waiting: list[tuple[float, int, bytes]] = []
        self._count = 0
        self._sounding: set[tuple[int, int]] = set()
        """(channel, key)"""

    def at(self, moment: float, raw: bytes) -> None:
        """Have a message sent at a moment, host seconds."""
        self._count += 1
        heapq.heappush(self._waiting, (moment, self._count, raw))

    def step(self, now: float) -> None:
        """Send what is due."""
        while self._waiting and self._waiting[0][0] <= now:
            moment, _, raw = heapq.heappop(self._waiting)
            if now - moment <= LATE or not strikes(raw):
                self.send(raw, now)

    def send(self, raw: bytes, now: float) -> None:
        """Send a message at once."""
        key = raw[0] & 0x0F, raw[1]
        (self._sounding.add if strikes(raw) else self._sounding.discard)(key)
        self._echoes.sent(raw, now)
        self._send(raw)

    def hush(self, now: float) -> None:
        """Drop what waits, and let go what sounds."""
        self._waiting.clear()
        for channel, key in sorted(self._sounding):
            self.send(bytes((NOTE_OFF << 4 | channel, key, 64)), now)
