"""What does the name of a take's file say: whose it is, and which page is its own?"""

import os
import re
from time import time
from typing import TYPE_CHECKING, Final

from evaluator.batch.students import student_of
from evaluator.cli.files import shown

if TYPE_CHECKING:
    from evaluator.batch.students import Roster

LONGEST: Final = 200
"""Bytes of a page's name; file systems take 255."""
RESERVED: Final = re.compile(r"(con|prn|aux|nul|(com|lpt)[0-9¹²³])$")
"""Names that are devices on Windows (Microsoft, Naming Files, Paths, and Namespaces)."""
CLASS_PAGE: Final = "index"
_NO_WORD: Final = re.compile(r"[^\w]+")


def is_named(path: str, roster: "Roster") -> bool:
    """Whether a file's name says whose it is, and not only which take."""
    stem = re.split(r"[/\\]", shown(path))[-1].rpartition(".")[0]
    return student_of(shown(path), roster) != " ".join(stem.split())


def played_at(path: str) -> float:
    """When a file was last written, which is when it was played unless it was copied."""
    from evaluator.history.entry import can_be_dated

    try:
        written = os.stat(path).st_mtime
    except OSError:  # it is gone by now
        return time()
    return written if can_be_dated(written) else time()


def page_name(path: str, taken: set[str]) -> str:
    """A file name of letters, digits and hyphens that no other page has on any system.

    It is added to `taken`, where names stand without their capitals.
    """
    stem = re.split(r"[/\\]", shown(path))[-1].rpartition(".")[0] or shown(path)
    plain = _NO_WORD.sub("-", stem).strip("-_") or "take"
    plain = plain.encode()[:LONGEST].decode(errors="ignore")
    if RESERVED.match(plain.casefold()):
        plain = f"take-{plain}"
    name, number = plain, 2
    while name.casefold() in taken:
        name, number = f"{plain}-{number}", number + 1
    taken.add(name.casefold())
    return f"{name}.html"
