"""What was handed in, file by file?

Each file is read when its turn comes, and gets its student, a name for its page, and a
word if the very same bytes came before.
"""

from collections.abc import Iterator, Sequence
from hashlib import sha256
from typing import TYPE_CHECKING

from evaluator.batch.class_run import HandedIn
from evaluator.batch.students import student_of
from evaluator.cli.files import FileError, read_take_bytes, shown
from evaluator.cli.naming import CLASS_PAGE, page_name, played_at

if TYPE_CHECKING:
    from evaluator.batch.students import Roster


def handed_in(
    paths: Sequence[str], roster: "Roster", *, student: str | None = None
) -> Iterator[HandedIn]:
    """The files in their order; one that cannot be read comes with the reason.

    `student` is whose they all are, if that was said.
    """
    seen: dict[bytes, str] = {}
    pages: set[str] = {CLASS_PAGE}
    for path in paths:
        name, page = shown(path), page_name(path, pages)
        who = student or student_of(name, roster)
        try:
            content = read_take_bytes(path)
        except FileError as error:
            yield HandedIn(who, name, b"", problem=str(error), page=page)
            continue
        before = seen.setdefault(sha256(content).digest(), name)
        same_as = before if before != name else ""
        yield HandedIn(who, name, content, "", same_as, page, played_at(path))
