"""Who may read what somebody played, and what mark it got?

Its owner alone, where the system has such rights; nobody else of a school's machine.
"""

import os
from typing import Final

PRIVATE: Final = 0o600


def private(path: str, flags: int) -> int:
    """The opener (see `open`) of a file that is its owner's alone if it is made now."""
    return os.open(path, flags, PRIVATE)
