"""What becomes of a history that cannot be read?

It is put aside under another name, never deleted, since somebody may yet save more of it
than this program can; until its owner wants what is kept to be forgotten.
"""

import os
import time
from contextlib import suppress
from pathlib import Path
from typing import Final

BESIDE: Final = ("-wal", "-shm", "-journal")
"""Endings of what belongs to a database."""
MARK: Final = ".unreadable-"
BLOCK: Final = bytes(65_536)


def put_aside(file: Path) -> Path:
    """Give a file another name; with it what belongs to it. Raises `OSError`."""
    stamp = time.strftime("%Y%m%d-%H%M%S")
    aside = file.with_name(f"{file.name}{MARK}{stamp}-{time.monotonic_ns()}")
    file.rename(aside)
    for ending in BESIDE:
        with suppress(OSError):
            file.with_name(file.name + ending).rename(aside.with_name(aside.name + ending))
    return aside


def delete_asides(file: Path) -> int:
    """Delete what was ever put aside of a file; how many it were. Raises `OSError`."""
    there = sorted(file.parent.glob(f"{file.name}{MARK}*"))
    for path in there:
        _wipe(path)
    return sum(not path.name.endswith(BESIDE) for path in there)


def _wipe(path: Path) -> None:
    """Write over a file and delete it: it is about pupils."""
    with path.open("r+b") as file:
        left = os.fstat(file.fileno()).st_size
        while left > 0:
            left -= file.write(BLOCK[:left])
        file.flush()
        os.fsync(file.fileno())
    path.unlink()
