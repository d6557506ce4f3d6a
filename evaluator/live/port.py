"""How do messages come from the piano, whatever system it hangs on?

The only module that knows RtMidi. Its messages are fetched without a callback: RtMidi's
own thread queues them with the driver's time, so that a busy program loses none (with a
callback, JACK lost one note in six under load). RtMidi filters nothing: on JACK its clock
would be reset by every message that it leaves out. Every system that the build knows is
tried, because the default one stops at ALSA even where only JACK runs. Every port is
deleted, because systems have a limited number of clients.

A port that is gone is not told of by RtMidi; it goes on as if nobody played. So the list
of ports is looked at twice a second. A JACK server that is gone goes on listing its
ports; whether it is there shows only in opening another client, which is done while
nothing comes. Closing anything after that attempt failed would crash in the library:
`ServerGoneError` says that the process must end without closing.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Final

from evaluator.errors import EvaluatorError, UsageError
from evaluator.live.clock import Clock, host_clock
from evaluator.live.names import PortName, matching, pianos, plain

if TYPE_CHECKING:
    import rtmidi

CLIENT: Final = "evaluator"
QUEUE: Final = 65536
"""Messages that RtMidi keeps for a program that does not fetch them; its usual 1024 are
half a minute of a continuous pedal."""
LOOK: Final = 0.5
"""Seconds between looks at the list of ports."""
SILENT: Final = 0.9
"""Seconds without a message after which the JACK server is asked for, and again."""

API_NAMES: Final = {
    "API_LINUX_ALSA": "ALSA",
    "API_UNIX_JACK": "JACK",
    "API_MACOSX_CORE": "CoreMIDI",
    "API_WINDOWS_MM": "WinMM",
    "API_WINDOWS_UWP": "Windows MIDI",
}
"""RtMidi's constants; its dummy and web systems are none that a piano hangs on."""

Message = tuple[bytes, float, float]
"""Bytes, seconds since the message before by the driver, host seconds when fetched."""


class NoBackendError(UsageError):
    """The program as it is installed cannot talk to a piano."""


class PortRefusedError(EvaluatorError):
    """The port is there and cannot be opened."""


class PortGoneError(EvaluatorError):
    """The open port is no longer there; it has been closed."""


class ServerGoneError(EvaluatorError):
    """The JACK server is no longer there, and nothing of it may be touched any more."""


MISSING: Final = (
    "Listening needs the package python-rtmidi, which is not installed. "
    "Install it with: pip install python-rtmidi"
)
NO_SYSTEM: Final = (
    "The installed python-rtmidi was built without any MIDI system. Install it again from "
    "a wheel, or build it where the headers of ALSA or JACK are (on Debian: libasound2-dev)."
)


def systems() -> dict[str, int]:
    """The MIDI systems of this build, by name. Raises `NoBackendError`."""
    try:
        import rtmidi
    except ImportError:
        raise NoBackendError(MISSING) from None
    there = rtmidi.get_compiled_api()
    found = {
        name: getattr(rtmidi, constant)
        for constant, name in API_NAMES.items()
        if getattr(rtmidi, constant, None) in there
    }
    if not found:
        raise NoBackendError(NO_SYSTEM)
    return found


def inputs() -> list[PortName]:
    """Every port from which messages can come, of every system that answers."""
    found = []
    for name, api in systems().items():
        with suppress(PortRefusedError), _client(api) as client:
            found += [PortName(name, port) for port in _listed(client)]
    return found


@contextmanager
def quiet(log: int | None = None) -> Iterator[None]:
    """Keep what native libraries write to the error stream away from the screen.

    `log` is an open file that gets it; without one it is dropped.
    """
    try:
        kept = os.dup(2)
    except OSError:  # there is no error stream
        yield
        return
    target = os.open(os.devnull, os.O_WRONLY) if log is None else os.dup(log)
    try:
        os.dup2(target, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
        os.close(target)


class InputPort:
    """The open port of a piano."""

    def __init__(self, wanted: str, *, clock: Clock = host_clock) -> None:
        """Open the port of that name.

        Raises:
            PortGoneError: no such port is there.
            PortRefusedError: it is there and cannot be opened.
        """
        self._clock = clock
        name, api, client = _find(wanted)
        self.name = name.name
        self._api = api
        self._jack = name.api == "JACK"
        self._client: rtmidi.MidiIn = client
        self._alive = self._looked = clock()
        """When there was a last sign of the server, and when the list was looked at."""

    def poll(self) -> list[Message]:
        """Every message that has come.

        Raises:
            PortGoneError: the port is no longer in the list.
            ServerGoneError: JACK is no longer there; end the process without closing.
        """
        found: list[Message] = []
        while (message := self._client.get_message()) is not None:
            raw, delta = message
            found.append((bytes(raw), delta, self._clock()))
        now = self._clock()
        if found:
            self._alive = now
        if now - self._looked >= LOOK:
            self._look(now)
        return found

    def _look(self, now: float) -> None:
        self._looked = now
        if self._jack and now - self._alive > SILENT:
            try:
                with _client(self._api):
                    self._alive = now
            except PortRefusedError:
                raise ServerGoneError from None
        if all(plain(port) != plain(self.name) for port in _listed(self._client)):
            self.close()
            raise PortGoneError(self.name)

    def close(self) -> None:
        """Let the port go."""
        self._client.close_port()
        self._client.delete()


class OutputPort:
    """The way back to the piano, for the click."""

    def __init__(self, wanted: str) -> None:
        """Open the output that is called like an input. Raises `PortGoneError`."""
        try:
            name, _, client = _find(wanted, output=True)
        except PortGoneError:
            # JACK names both directions apart, `piano:out` and `piano:in`.
            name, _, client = _find(wanted.partition(":")[0] + ":", output=True)
        self.name = name.name
        self._client: rtmidi.MidiOut = client

    def send(self, raw: bytes) -> None:
        """Send one message; to a piano that is gone it is sent in vain."""
        with suppress(OSError):
            self._client.send_message(list(raw))

    def close(self) -> None:
        """Let the port go."""
        self._client.close_port()
        self._client.delete()


@contextmanager
def _client(api: int, *, output: bool = False) -> Iterator["rtmidi.MidiIn"]:
    """A client of one system that is deleted at the end."""
    client = _made(api, output=output)
    try:
        yield client
    finally:
        client.delete()


def _made(api: int, *, output: bool = False) -> "rtmidi.MidiIn":
    """A client of one system. Raises `PortRefusedError` if the system does not answer."""
    import rtmidi

    try:
        if output:
            return rtmidi.MidiOut(api, name=CLIENT)
        client = rtmidi.MidiIn(api, name=CLIENT, queue_size_limit=QUEUE)
    except (rtmidi.RtMidiError, OSError) as error:
        raise PortRefusedError(str(error)) from None
    client.ignore_types(sysex=False, timing=False, active_sense=False)
    return client


def _listed(client: "rtmidi.MidiIn") -> list[str]:
    """The ports of a client's system; none if one went away while they were being listed."""
    import rtmidi

    try:
        return list(client.get_ports())
    except rtmidi.RtMidiError:
        return []


def _find(wanted: str, *, output: bool = False) -> tuple[PortName, int, "rtmidi.MidiIn"]:
    """Open the port that a name means, in the first system that has it."""
    import rtmidi

    for system, api in systems().items():
        try:
            client = _made(api, output=output)
        except PortRefusedError:
            continue
        ports = _listed(client)
        found = matching(pianos([PortName(system, port) for port in ports]), wanted)
        found = found or matching([PortName(system, port) for port in ports], wanted)
        if not found:
            client.delete()
            continue
        try:
            client.open_port(ports.index(found[0].name), name="listening")
        except (rtmidi.RtMidiError, OSError, ValueError) as error:
            client.delete()
            raise PortRefusedError(str(error)) from None
        if _listed(client) != ports:
            # Ports came or went, and the number may have meant another one.
            client.close_port()
            client.delete()
            continue
        return found[0], api, client
    raise PortGoneError(wanted)
