"""Is that the student's, or did the piano send back what it was told to play?

Some pianos send out again whatever they receive. A message that comes back within a moment, to
the byte as it was sent, is an echo, unless the piano has shown that it has none: of what was
sent on a channel hardly anything came back. Else a student who strikes the very key that the
accompaniment strikes, equally loud, would lose a note.

Units: seconds of the host's clock.
"""

from collections import deque
from typing import Final

BACK: Final = 0.1
"""Seconds in which an echo is back; through a slow interface, too. From memory of none above
30 ms; no source."""
LOOKED_AT: Final = 16
"""Messages sent last that tell whether a piano echoes,"""
LEAST: Final = 4
"""of which there must be so many before it is believed that it does not."""
SHARE: Final = 0.5
"""Part of them that comes back from one that does."""


class Echoes:
    """What was sent to a piano, and what of it came back."""

    def __init__(self) -> None:
        self._sent: deque[tuple[float, bytes]] = deque()
        """What may still come back, in the order of sending."""
        self._came: dict[int, deque[bool]] = {}
        """Of each channel whether the last messages came back."""

    def sent(self, raw: bytes, now: float) -> None:
        """A message was sent to the piano."""
        self._settle(now)
        self._sent.append((now, raw))

    def is_echo(self, raw: bytes, now: float) -> bool:
        """Whether a message that came is one of those that were sent."""
        self._settle(now)
        for at, (_, sent) in enumerate(self._sent):
            if sent == raw:
                del self._sent[at]
                believed = self._echoes(raw[0] & 0x0F)
                self._note(raw, came=True)
                return believed
        return False

    def _settle(self, now: float) -> None:
        """What did not come back in time will not."""
        while self._sent and now - self._sent[0][0] > BACK:
            self._note(self._sent.popleft()[1], came=False)

    def _note(self, raw: bytes, *, came: bool) -> None:
        self._came.setdefault(raw[0] & 0x0F, deque(maxlen=LOOKED_AT)).append(came)

    def _echoes(self, channel: int) -> bool:
        came = self._came.get(channel, ())
        return len(came) < LEAST or sum(came) >= SHARE * len(came)
