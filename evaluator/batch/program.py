"""Which program is this?

Two copies give the same marks for certain only if they are the same text: on a worker of
another machine, or when a run goes on that was begun before the program was brought up to
date. The number of a version does not tell that apart while the program is worked on.
"""

from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

PACKAGE: Final = Path(__file__).parents[1]
TEXTS: Final = ("*.py", "*.toml")
"""What decides on marks. The compiled step is not among it: it gives what the step in Python
gives, and is another file on every system."""


@cache
def fingerprint() -> str:
    """Hash of all texts of the program, the same on every system."""
    found = sorted(
        (path.relative_to(PACKAGE).as_posix(), path) for end in TEXTS for path in PACKAGE.rglob(end)
    )
    whole = sha256()
    for name, path in found:
        # Line ends may differ from system to system.
        text = path.read_bytes().replace(b"\r\n", b"\n")
        whole.update(f"{name} {len(text)}\n".encode() + text)
    return whole.hexdigest()
