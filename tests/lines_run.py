"""How much work is something, on any machine? Lines of Python that are run."""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


def lines_run(work: Callable[[], object]) -> int:
    """What C does in one line (to find, to copy) is not counted."""
    count = 0

    def counted(_frame: FrameType, _event: str, _what: Any) -> Any:
        nonlocal count
        count += 1
        return counted

    before = sys.gettrace()
    sys.settrace(counted)
    try:
        work()
    finally:
        sys.settrace(before)
    return count
