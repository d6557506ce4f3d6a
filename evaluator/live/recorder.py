"""What does the process do that only writes down what is played?

Capture runs in a process of its own, which does nothing else: fetch the messages every
two milliseconds, add them to the journal. A program that is busy judging cannot delay it,
a library that crashes when a cable comes out takes only this process with it, and if the
program above is killed the last message is still in the journal.

    python -m evaluator.live.recorder '{"journal": "take.journal", "port": "Digital Piano"}'

The one word is a `Task`. It waits for the port, opens it, and ends with `GONE` when it
goes. Orders come on the standard input, a line each; its end ends the process.

    begin HOST             the take begins at that moment
    click KEY VELOCITY     a stroke of the percussion, at once
    play HOST BYTES        a message for the piano at that moment, in hex
    hush                   what waits is dropped, what sounds let go
"""

import json
import os
import signal
import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final, Protocol

from evaluator.live.clock import Clock, host_clock, sped_up
from evaluator.live.echoes import Echoes
from evaluator.live.journal import Entry
from evaluator.live.names import matching
from evaluator.live.port import (
    InputPort,
    Message,
    OutputPort,
    PortGoneError,
    PortRefusedError,
    ServerGoneError,
    inputs,
)
from evaluator.live.sender import Sender
from evaluator.live.writer import JournalWriter

PERIOD: Final = 0.002
"""Seconds between fetches: 1.7 % of a core, and no message more than so late."""
AGAIN: Final = 0.5
"""Seconds until a port that is not there is looked for again."""
SETTLING: Final = 0.3
"""Seconds that a port gets after it has appeared; JACK may leave one unconnected, without a
word, that was connected the moment it came."""
REPLAYED: Final = 3.0
"""Seconds of silence after a replayed take, in which a song comes to its end."""

ENDED: Final = 0
GONE: Final = 3
UNWRITABLE: Final = range(100, 256)
"""Exit status: told to end, or the replay is over; the port is gone; the journal cannot be
written, where the place in the range is the system's number of the error."""

REALTIME: Final = 0xF8
"""Status bytes from here on are the clock and the heartbeat of a piano."""
PERCUSSION: Final = 0x99
"""A note-on on channel 10, which is for drums by General MIDI."""


@dataclass(frozen=True, slots=True)
class Task:
    """What to record, and where."""

    journal: str
    port: str = ""
    """Name of the port."""
    click: bool = False
    """Whether the piano's own input is wanted as well, for click and accompaniment."""
    replay: str = ""
    """A take to be played by a clock instead of a port,"""
    start: float = 0.0
    speed: float = 1.0
    """so many times as fast, from this moment of the host's clock on."""
    held: bool = False
    """The replay does not begin before it is ordered,"""
    lead: float = 0.0
    """and its first note so many seconds after that: where a count-in ends."""

    def word(self) -> str:
        """The task as a word of a command line."""
        return json.dumps(asdict(self))


class Port(Protocol):
    """What a piano's port and a scripted one have in common."""

    name: str

    def poll(self) -> list[Message]:
        """Every message that has come since the last time. Raises `PortGoneError`."""

    def close(self) -> None:
        """Let the port go."""


class Recorder:
    """Moves messages from a port to a journal."""

    def __init__(
        self,
        port: Port,
        write: Callable[[list[Entry]], None],
        clock: Clock,
        send: Callable[[bytes], None] | None = None,
    ) -> None:
        """`send`: the way back to the piano, if there is one."""
        self._port, self._write, self._clock = port, write, clock
        self._echoes = Echoes()
        self._sender = None if send is None else Sender(send, self._echoes)
        self._since_echo = 0.0
        """Seconds, by the driver, from the last message that was played to an echo after it."""
        self._noted = False
        """Whether a note has been played; the heartbeats before it are not worth a line."""
        write([Entry("open", clock(), text=port.name)])

    def step(self) -> None:
        """Send what is due, and write down what has come.

        Raises as the port's `poll`, which it notes before.
        """
        if self._sender is not None:
            self._sender.step(self._clock())
        try:
            messages = self._port.poll()
        except (PortGoneError, ServerGoneError):
            self._write([Entry("gone", self._clock())])
            raise
        entries = []
        for raw, delta, host in messages:
            delta = max(delta, 0.0) + self._since_echo
            self._since_echo = 0.0
            if self._echoes.is_echo(raw, host):
                self._since_echo = delta
                entries.append(Entry("echo", host, text=raw.hex()))
                continue
            self._noted = self._noted or raw[0] & 0xF0 == 0x90
            if self._noted or raw[0] < REALTIME:
                entries.append(Entry("message", host, delta, raw))
        if entries:
            self._write(entries)

    def begin(self, host: float) -> None:
        """Note that the take begins here."""
        self._write([Entry("begin", host)])

    def obey(self, order: str, words: list[str]) -> None:
        """Do something for the ears, if there is a way back to the piano."""
        sender = self._sender
        if sender is None:
            return
        if order == "click":
            key, velocity = map(int, words)
            for loud in (velocity, 0):
                sender.send(bytes((PERCUSSION, key, loud)), self._clock())
        elif order == "play":
            sender.at(float(words[0]), bytes.fromhex(words[1]))
        elif order == "hush":
            sender.hush(self._clock())


class Orders:
    """Lines from the program above; `ended` when it has gone or wants no more."""

    def __init__(self) -> None:
        self.lines: deque[list[str]] = deque()
        self.ended = False
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        for text in sys.stdin:
            self.lines.append(text.split())
        self.ended = True


def main() -> int:
    """Record until told to end; returns the exit status."""
    task = Task(**json.loads(sys.argv[1]))
    # Ctrl-C and a closed window reach the whole group; the program above decides.
    for name in ("SIGINT", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    orders = Orders()
    try:
        writer = JournalWriter(Path(task.journal))
        if task.replay:
            return _replay(task, orders, writer)
        return _record(task, orders, writer)
    except OSError as error:
        # Not in words: they would go to the same disk.
        return min(UNWRITABLE.start + (error.errno or 0), UNWRITABLE[-1])


def _record(task: Task, orders: Orders, writer: JournalWriter) -> int:
    port = _wait_for(task.port, orders, writer)
    if port is None:
        return ENDED
    output = _output(port.name) if task.click else None
    send = None if output is None else output.send
    recorder = Recorder(port, writer.write, host_clock, send)
    try:
        while not orders.ended:
            _obey(orders, recorder)
            recorder.step()
            time.sleep(PERIOD)
    except PortGoneError:
        return GONE
    except ServerGoneError:
        # Nothing of the library may be touched, not even by its own clearing up.
        os._exit(GONE)
    recorder.obey("hush", [])
    recorder.step()
    port.close()
    if output is not None:
        output.close()
    writer.close()
    return ENDED


def _replay(task: Task, orders: Orders, writer: JournalWriter) -> int:
    from evaluator.live.scripted import ScriptedPort, script_of
    from evaluator.live.sound_file import as_midi
    from evaluator.take.midi_file import read_take

    clock = sped_up(task.speed, task.start)
    replay = Path(task.replay)
    take = read_take(as_midi(replay.read_bytes()))
    first = float(take.onsets[0]) if len(take) else 0.0
    port = ScriptedPort(() if task.held else script_of(take, clock()), clock, name=replay.name)
    recorder = Recorder(port, writer.write, clock)
    held, over = task.held, float("inf")
    while not orders.ended and clock() < over:
        for host in _obey(orders, recorder):
            if held:
                port.play(script_of(take, host + task.lead - first))
                held = False
        recorder.step()
        if port.over and not held and over == float("inf"):
            over = clock() + REPLAYED
        time.sleep(PERIOD)
    writer.close()
    return ENDED


def _wait_for(wanted: str, orders: Orders, writer: JournalWriter) -> InputPort | None:
    """The port, as soon as it is there; None if told to end before."""
    told = ""
    while not orders.ended:
        if matching(inputs(), wanted):
            time.sleep(SETTLING)
            try:
                return InputPort(wanted)
            except PortGoneError:
                pass
            except PortRefusedError as error:
                if str(error) != told:
                    told = str(error)
                    writer.write([Entry("refused", host_clock(), text=told)])
        time.sleep(AGAIN)
    return None


def _output(name: str) -> OutputPort | None:
    try:
        return OutputPort(name)
    except (PortGoneError, PortRefusedError):
        return None


def _obey(orders: Orders, recorder: Recorder) -> list[float]:
    """Do what was ordered; returns the moments at which the take was told to begin."""
    begun = []
    while orders.lines:
        order, *words = orders.lines.popleft()
        if order == "begin":
            recorder.begin(float(words[0]))
            begun.append(float(words[0]))
        else:
            recorder.obey(order, words)
    return begun


if __name__ == "__main__":
    sys.exit(main())
