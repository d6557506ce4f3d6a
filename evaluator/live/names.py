"""Is this the piano of last time?

A port's name is all that there is to know a piano by, and systems decorate it with
numbers that change: ALSA with the client's (`Piano MIDI 1 20:0`), Windows with the order
of plugging in (`Piano 1`), JACK's bridge with the card's (`a2j:Piano [20] (capture): ...`).
Names are compared without these. The order of ports means nothing.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_NUMBERS: Final = re.compile(r"(?:\s+\d+:\d+|\s*\[\d+\]|\s+\d+)$|\s*\[\d+\]")

NOT_PIANOS: Final = ("Midi Through", "evaluator")
"""Ports that are always there: the system's loop-back, and this program's own."""


@dataclass(frozen=True, slots=True)
class PortName:
    """A port as the system lists it."""

    api: str
    """`ALSA`, `JACK`, `CoreMIDI`, `WinMM`."""
    name: str

    @property
    def plain(self) -> str:
        """The part of the name that stays the same."""
        return plain(self.name)


def plain(name: str) -> str:
    """A name without the numbers that change, for comparing."""
    before = None
    while before != name:
        before, name = name, _NUMBERS.sub("", name)
    return " ".join(name.split()).casefold()


def pianos(ports: Sequence[PortName]) -> list[PortName]:
    """The ports that may be a piano: all but those that the system has for its own use."""
    return [port for port in ports if not port.name.startswith(NOT_PIANOS)]


def matching(ports: Sequence[PortName], wanted: str) -> list[PortName]:
    """The ports that a name means: exactly so called, else alike, else pianos containing it."""
    tests = (
        lambda port: port.name == wanted,
        lambda port: port.plain == plain(wanted),
        lambda port: plain(wanted) in port.plain and bool(pianos([port])),
    )
    for test in tests:
        if found := [port for port in ports if test(port)]:
            return found
    return []
