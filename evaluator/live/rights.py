"""Who may read what somebody played, and what mark it got, and when is it there?

Its owner alone, where the system has such rights; nobody else of a school's machine. And only
when it is whole: nobody ever finds half of it.
"""

import os
import stat
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Final

PRIVATE: Final = 0o600


def private(path: str, flags: int) -> int:
    """The opener (see `open`) of a file that is its owner's alone if it is made now."""
    return os.open(path, flags, PRIVATE)


def write_whole(target: Path, pieces: Iterable[bytes], *, own: bool) -> None:
    """Write a file by another name first, piece by piece. Raises `OSError`.

    `own`: a new file is its owner's alone; whoever has given a file other rights is left to it.
    """
    # Not under the target's own name, which may be as long as names can be.
    beside = target.with_name(f".{os.getpid()}-{time.time_ns():x}.part")
    try:
        with open(beside, "xb", opener=private if own else None) as file:
            file.writelines(pieces)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            beside.chmod(stat.S_IMODE(target.stat().st_mode))
        beside.replace(target)
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
