"""What was handed in, file by file?

Each file is read when its turn comes, and gets its student, a name for its page, and a
word if the very same bytes came before.
"""

import os
import re
from collections.abc import Iterator, Sequence
from hashlib import sha256
from time import time
from typing import TYPE_CHECKING, Final

from evaluator.batch.class_run import HandedIn
from evaluator.batch.students import student_of
from evaluator.cli.files import FileError, read_take_bytes, shown

if TYPE_CHECKING:
    from evaluator.batch.students import Roster

LONGEST: Final = 80
"""Characters of a page's name; file systems take 255 bytes."""
RESERVED: Final = re.compile(r"(con|prn|aux|nul|(com|lpt)[0-9])$")
"""Names that are devices on Windows (Microsoft, Naming Files, Paths, and Namespaces)."""
CLASS_PAGE: Final = "index"
_NO_WORD: Final = re.compile(r"[^\w]+")


def handed_in(
    paths: Sequence[str], roster: "Roster", *, student: str | None = None
) -> Iterator[HandedIn]:
    """The files in their order; one that cannot be read comes with the reason.

    `student` is whose they all are, if that was said.
    """
    seen: dict[bytes, str] = {}
    pages: set[str] = {CLASS_PAGE}
    for path in paths:
        name, page = shown(path), _page(path, pages)
        who = student or student_of(name, roster)
        try:
            content = read_take_bytes(path)
        except FileError as error:
            yield HandedIn(who, name, b"", problem=str(error), page=page)
            continue
        before = seen.setdefault(sha256(content).digest(), name)
        same_as = before if before != name else ""
        yield HandedIn(who, name, content, "", same_as, page, played_at(path))


def is_named(path: str, roster: "Roster") -> bool:
    """Whether a file's name says whose it is, and not only which take."""
    stem = re.split(r"[/\\]", shown(path))[-1].rpartition(".")[0]
    return student_of(shown(path), roster) != " ".join(stem.split())


def played_at(path: str) -> float:
    """When a file was last written, which is when it was played unless it was copied."""
    try:
        return os.stat(path).st_mtime
    except OSError:  # it is gone by now
        return time()


def _page(path: str, taken: set[str]) -> str:
    """A file name of letters, digits and hyphens that no other page has on any system."""
    stem = re.split(r"[/\\]", shown(path))[-1].rpartition(".")[0] or shown(path)
    plain = _NO_WORD.sub("-", stem).strip("-_")[:LONGEST] or "take"
    if RESERVED.match(plain.casefold()):
        plain = f"take-{plain}"
    name, number = plain, 2
    while name.casefold() in taken:
        name, number = f"{plain}-{number}", number + 1
    taken.add(name.casefold())
    return f"{name}.html"
