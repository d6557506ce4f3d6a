"""What was handed in, file by file?

Each file is read when its turn comes, and gets its student, a name for its page, and a
word if the very same bytes came before.
"""

import re
from collections.abc import Iterator, Sequence
from hashlib import sha256
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


def handed_in(paths: Sequence[str], roster: "Roster") -> Iterator[HandedIn]:
    """The files in their order; one that cannot be read comes with the reason."""
    seen: dict[bytes, str] = {}
    pages: set[str] = {CLASS_PAGE}
    for path in paths:
        name, page = shown(path), _page(path, pages)
        student = student_of(name, roster)
        try:
            content = read_take_bytes(path)
        except FileError as error:
            yield HandedIn(student, name, b"", problem=str(error), page=page)
            continue
        before = seen.setdefault(sha256(content).digest(), name)
        same_as = before if before != name else ""
        yield HandedIn(student, name, content, same_as=same_as, page=page)


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
