"""Stands in for python-rtmidi in a process of the tests: systems and ports by environment.

FAKE_SYSTEMS: the constants that the build knows, with commas; FAKE_PORTS: names, with
semicolons; FAKE_SILENT: systems that do not answer; FAKE_HELD: every port refuses.
"""

import os

API_LINUX_ALSA, API_UNIX_JACK, API_MACOSX_CORE, API_WINDOWS_MM, API_RTMIDI_DUMMY = range(1, 6)


class RtMidiError(Exception):
    pass


class SystemError(RtMidiError, OSError):
    pass


class InvalidPortError(RtMidiError, ValueError):
    pass


def get_compiled_api() -> list[int]:
    names = os.environ.get("FAKE_SYSTEMS", "API_LINUX_ALSA,API_UNIX_JACK").split(",")
    return [globals()[name] for name in names]


class MidiIn:
    made = 0

    def __init__(self, api: int, name: str = "", queue_size_limit: int = 1024) -> None:
        os.write(2, b"noise of a native library\n")
        if str(api) in os.environ.get("FAKE_SILENT", "").split(","):
            raise SystemError("the system does not answer")
        self.api = api
        type(self).made += 1

    def ignore_types(self, *, sysex: bool, timing: bool, active_sense: bool) -> None:
        assert (sysex, timing, active_sense) == (False, False, False)

    def get_ports(self) -> list[str]:
        if self.api != API_UNIX_JACK:
            return []
        return [name for name in os.environ.get("FAKE_PORTS", "").split(";") if name]

    def open_port(self, port: int, name: str = "") -> None:
        if os.environ.get("FAKE_HELD"):
            raise SystemError("error creating MIDI input port")
        if port >= len(self.get_ports()):
            raise InvalidPortError

    def get_message(self) -> None:
        return None

    def close_port(self) -> None:
        pass

    def delete(self) -> None:
        type(self).made -= 1
