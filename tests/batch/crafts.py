"""Work for the tests of the pool, in a module that workers import quickly.

Workers really die here, by the means that end a process at once.
"""

import os
import signal
import time
from pathlib import Path


def prepare(setting: int) -> int:
    return setting + 1


def add(bench: int, piece: int) -> tuple[int, int]:
    return piece, bench + piece


def slow_first(bench: int, piece: int) -> tuple[int, int]:
    time.sleep(0.2 if piece == 0 else 0.0)
    return piece, bench + piece


def die_on_five(bench: int, piece: int) -> tuple[int, int]:
    if piece == 5:
        os._exit(3)
    return piece, bench + piece


def die_on_odd(bench: int, piece: int) -> tuple[int, int]:
    if piece % 2:
        os.kill(os.getpid(), signal.SIGKILL)
    return piece, bench + piece


def die_once(bench: str, piece: int) -> tuple[int, int]:
    """Leaves a file behind when it dies, and lives when it finds one."""
    if piece == 1 and not Path(bench).exists():
        Path(bench).touch()
        os._exit(3)
    return piece, os.getpid()


def as_it_is(setting: str) -> str:
    return setting


def who(bench: int, piece: int) -> int:
    return os.getpid()


def lost(piece: int) -> tuple[int, int]:
    return piece, -1


def slow(bench: int, piece: int) -> tuple[int, int]:
    time.sleep(0.1)
    return piece, bench + piece


def fails(bench: int, piece: int) -> tuple[int, int]:
    raise RuntimeError("no such piece")
