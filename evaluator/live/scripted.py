"""What if there is no piano?

A port with the same two methods as a real one, that plays from a script: a take in real
time or faster, or whatever a test wants to happen, with deltas as bad and hosts as late
as they come.
"""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, replace

from evaluator.live.clock import Clock
from evaluator.live.port import Message, PortGoneError
from evaluator.take.model import Take

NAME = "scripted"


@dataclass(frozen=True, slots=True)
class Cue:
    """What happens at a moment, and what the driver and the host's clock say of it."""

    at: float
    """Host seconds from which `poll` may see it."""
    raw: bytes = b""
    """The message; none if the port goes."""
    delta: float = 0.0
    host: float | None = None
    """What the host's clock said when it was fetched, if not `at`."""


class ScriptedPort:
    """Plays a script by a clock."""

    def __init__(self, script: Iterable[Cue], clock: Clock, *, name: str = NAME) -> None:
        self.name = name
        self.open = True
        self._script = deque(script)
        self._clock = clock

    @property
    def over(self) -> bool:
        """Whether the script is at its end."""
        return not self._script

    def play(self, script: Iterable[Cue]) -> None:
        """Go on with another script."""
        self._script.extend(script)

    def poll(self) -> list[Message]:
        """Every message of the script up to now. Raises `PortGoneError` where it says so."""
        found: list[Message] = []
        now = self._clock()
        while self._script and self._script[0].at <= now:
            if not self._script[0].raw:
                if not found:
                    self._script.popleft()
                    self.close()
                    raise PortGoneError(self.name)
                break
            cue = self._script.popleft()
            found.append((cue.raw, cue.delta, cue.at if cue.host is None else cue.host))
        return found

    def close(self) -> None:
        """Let the port go."""
        self.open = False


def script_of(take: Take, start: float) -> list[Cue]:
    """The messages of a take from a moment on: keys and the sustain pedal."""
    rows: list[tuple[float, int, bytes]] = []
    columns = (take.onsets, take.offsets, take.pitches, take.velocities, take.channels)
    for on, off, pitch, velocity, channel in zip(*(c.tolist() for c in columns), strict=True):
        rows.append((on, 2, bytes((0x90 | channel, pitch, velocity))))
        rows.append((off, 0, bytes((0x80 | channel, pitch, 64))))
    for down, up in take.pedal.tolist():
        rows += [(down, 1, bytes((0xB0, 64, 127))), (up, 1, bytes((0xB0, 64, 0)))]
    rows.sort(key=lambda row: row[:2])
    script, before = [], 0.0
    for time, _, raw in rows:
        script.append(Cue(start + time, raw, time - before))
        before = time
    if script:
        script[0] = replace(script[0], delta=0.0)
    return script
