"""Which files are the takes of a class, and what does each hand in?

Files that are named are taken as they are. Folders are searched with everything in them
for MIDI files and for the journals of live takes, by their names or by how they begin;
what else lies there is passed over and told, since it may be somebody's work all the
same. Hidden files are passed over silently: systems put their own things there. Each is read when
its turn comes, and gets its student, a name for its page, and a word if the very same bytes came
before.
"""

import os
import stat
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from evaluator.batch.class_run import HandedIn
from evaluator.batch.students import student_of
from evaluator.cli.files import FileError, read_take_bytes, shown
from evaluator.cli.naming import CLASS_PAGE, page_name, played_at
from evaluator.report.class_build import natural

if TYPE_CHECKING:
    from evaluator.batch.students import Roster

ENDINGS: Final = (".mid", ".midi", ".smf", ".kar", ".rmi")
BEGINNINGS: Final = (b"MThd", b"RIFF", b"evaluator journal ")
"""A RIFF file is looked into when it is read; it may be a recording of sound."""


@dataclass(frozen=True, slots=True)
class Found:
    """The files of a class, each once, in their natural order whatever order they came in."""

    takes: tuple[str, ...]
    passed_over: tuple[str, ...]
    """Files in the folders that are no takes."""
    problems: tuple[str, ...]
    """Sentences about folders that are empty or closed."""


def find_takes(paths: Sequence[str], *, known: Iterable[str] = ()) -> Found:
    """Search files and folders; `known` are files whose part in this is another."""
    takes: dict[str, str] = {}
    others: dict[str, str] = {}
    problems: list[str] = []
    apart = {os.path.realpath(path) for path in known}
    for path in paths:
        if not os.path.isdir(path):
            takes.setdefault(os.path.realpath(path), path)
            continue
        inside = list(_files(path, problems))
        found = [one for one in inside if _is_take(one)]
        if not found:
            problems.append(f"There is no take in the folder {shown(path)}.")
        takes |= {os.path.realpath(one): one for one in found if os.path.realpath(one) not in takes}
        others |= {os.path.realpath(one): one for one in inside}
    return Found(
        takes=tuple(sorted(takes.values(), key=_order)),
        passed_over=tuple(
            sorted(
                (p for real, p in others.items() if real not in apart | takes.keys()), key=_order
            )
        ),
        problems=tuple(dict.fromkeys(problems)),
    )


def _order(path: str) -> tuple[tuple[tuple[int, int, str], ...], str]:
    return natural(shown(path)), path


def _files(folder: str, problems: list[str]) -> Iterator[str]:
    """Ordinary files in a folder and below that are not hidden."""

    def closed(error: OSError) -> None:
        problems.append(f"The folder {shown(str(error.filename))} could not be opened.")

    for inside, folders, names in os.walk(folder, onerror=closed):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in names:
            path = os.path.join(inside, name)
            if not name.startswith(".") and _is_file(path):
                yield path


def _is_file(path: str) -> bool:
    """Whether it is an ordinary file; a link that leads nowhere is told when it is read."""
    try:
        return stat.S_ISREG(os.stat(path).st_mode)
    except OSError:
        return True


def _is_take(path: str) -> bool:
    if path.casefold().endswith(ENDINGS):
        return True
    try:
        with open(path, "rb") as file:
            return file.read(32).startswith(BEGINNINGS)
    except OSError:
        return False


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
