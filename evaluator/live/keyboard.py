"""Has the player had enough?

Enter on the computer's keyboard ends a take, as does Ctrl-C. The first Ctrl-C ends the
take in good order, a second one breaks off. A closed window or a polite request of the
system to end does the same as Ctrl-C, but nobody is there any more to read a report.
"""

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Final

KEYS: Final = "\r\nq\x1b"
"""Enter, q, Escape."""
LEAVING: Final = ("SIGTERM", "SIGHUP", "SIGQUIT", "SIGBREAK")


class Stop:
    """Whether the take is to end, and why."""

    def __init__(self) -> None:
        self.asked = False
        self.leaving = False
        """Nobody reads on."""
        self.mended = False
        """The terminal had been left as a killed program leaves it."""
        self.at_once: Callable[[], None] = lambda: None
        """What is not to wait until whatever is being done is done; may come in between
        anything."""

    def __call__(self) -> bool:
        """Look at the keyboard, too."""
        if not self.asked and _pressed():
            self.asked = True
            self.at_once()
        return self.asked

    def on_signal(self, number: int, _: FrameType | None) -> None:
        """A signal has come."""
        if self.asked and number == signal.SIGINT:
            raise KeyboardInterrupt
        first = not self.asked
        self.asked = True
        self.leaving = number != signal.SIGINT
        if first:
            self.at_once()


@contextmanager
def listening_for_stop() -> Iterator[Stop]:
    """Take signals and single keys for the time of a take."""
    stop = Stop()
    names = [name for name in ("SIGINT", *LEAVING) if hasattr(signal, name)]
    before = {
        getattr(signal, name): signal.signal(getattr(signal, name), stop.on_signal)
        for name in names
    }
    try:
        with _single_keys() as mended:
            stop.mended = mended
            yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextmanager
def _single_keys() -> Iterator[bool]:
    """Keys come one by one and are not shown; whether it was so already.

    Then an earlier program was killed before it could put that right: afterwards it is right.
    """
    if os.name != "posix" or sys.stdin is None or not sys.stdin.isatty():
        yield False
        return
    import termios

    kept = termios.tcgetattr(sys.stdin)
    usual = termios.ICANON | termios.ECHO
    mended = not kept[3] & usual
    kept[3] |= usual if mended else 0
    changed = termios.tcgetattr(sys.stdin)
    changed[3] &= ~usual
    with suppress(termios.error):
        termios.tcsetattr(sys.stdin, termios.TCSANOW, changed)
    try:
        yield mended
    finally:
        with suppress(termios.error):
            termios.tcsetattr(sys.stdin, termios.TCSANOW, kept)


def _pressed() -> bool:
    """Whether a key that ends the take has been pressed since the last time."""
    if sys.stdin is None or not sys.stdin.isatty():
        return False
    pressed = False
    if os.name == "posix":
        import select

        while select.select([sys.stdin], [], [], 0)[0]:
            key = os.read(sys.stdin.fileno(), 1)
            if not key:  # the terminal has gone
                return True
            pressed = pressed or key.decode("latin-1") in KEYS
    elif sys.platform == "win32":
        import msvcrt

        while msvcrt.kbhit():
            pressed = msvcrt.getwch() in KEYS or pressed
    return pressed
