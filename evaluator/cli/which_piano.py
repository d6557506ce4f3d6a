"""Which piano is listened to?

The one that is there or is named; one of several is asked for, and remembered. Where there
is none it is waited for.
"""

import sys
import time
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import shown
from evaluator.cli.ports import CHECK, row
from evaluator.cli.say import say
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.live.names import PortName

LOOK_AGAIN: Final = 1.0
"""Seconds between two looks for a piano."""


def port_name(wanted: str | None) -> str:
    """The name of the port to listen to; `wanted` is a part of it.

    Raises `UsageError` if there are several and nobody can be asked.
    """
    from evaluator.live.names import matching, pianos
    from evaluator.live.port import inputs, quiet
    from evaluator.live.remembered import remember, remembered

    told = False
    while True:
        with quiet():
            there = inputs()
        found = pianos(there) if wanted is None else matching(there, wanted)
        if found:
            break
        if not told:
            if wanted is not None and there:
                names = ", ".join(row(port) for port in there)
                say(f"There is no port {shown(wanted)} yet. There are: {names}.")
            else:
                say(CHECK)
            say("Waiting for it; Ctrl-C gives up.")
            told = True
        time.sleep(LOOK_AGAIN)
    if wanted is None and len(found) > 1:
        last = [port for port in found if port.plain == remembered()]
        found = last if len(last) == 1 else found
    chosen = found[0] if len(found) == 1 else _asked(found)
    remember(chosen.name)
    return chosen.name


def _asked(found: Sequence["PortName"]) -> "PortName":
    """Which of several ports it is to be. Raises `UsageError` if nobody can be asked."""
    if sys.stdin is None or not sys.stdin.isatty():
        names = ", ".join(row(port) for port in found)
        raise UsageError(f"There are several pianos: {names}. Say which with --port.")
    for number, port in enumerate(found, start=1):
        say(f"  {number}  {row(port)}")
    while True:
        try:
            answer = input("Which one is the piano? ").strip()
        except EOFError:
            raise UsageError("No piano was chosen. Say which with --port.") from None
        if answer.isascii() and answer.isdigit() and 1 <= int(answer) <= len(found):
            return found[int(answer) - 1]
