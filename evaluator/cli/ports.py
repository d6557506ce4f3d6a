"""`evaluator ports`: which pianos are there?"""

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import shown
from evaluator.cli.helping import Parser
from evaluator.cli.say import say

if TYPE_CHECKING:
    from evaluator.live.names import PortName

CHECK: Final = """\
No piano was found. Check that
  - it is switched on, and the cable is in its USB TO HOST or MIDI OUT socket,
  - the computer has seen it (some need a driver, or a setting of the piano for USB),
  - no other program is holding it: close recorders, notation programs, web pages."""


def run(words: Sequence[str]) -> int:
    """List the ports. Raises `NoBackendError`."""
    parser().parse_args(words)
    from evaluator.live.names import pianos
    from evaluator.live.port import inputs, quiet
    from evaluator.live.remembered import remembered

    with quiet():
        there = inputs()
    found = pianos(there)
    if not found:
        say(CHECK)
    last = remembered()
    for port in found:
        say(row(port) + (", used last" if port.plain == last else ""))
    for port in there:
        if port not in found:
            say(f"{row(port)}, no piano")
    return 0


def row(port: "PortName") -> str:
    """A port in a line."""
    return f"{shown(port.name)} ({port.api})"


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    return Parser(
        prog="evaluator ports",
        description="List the pianos that can be listened to, by the names that `evaluator listen "
        "--port` takes, and which one was used last.",
        epilog="example: evaluator ports",
    )
