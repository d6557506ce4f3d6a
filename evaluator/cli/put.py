"""How does what was asked for as a file get there, or onto the standard output?

Files first, then the screen: whoever reads along may have seen enough (`| head`), and the
disk under a redirected output may be full. What cannot be shown costs no file; what the
system said about it is raised when everything else is done. Whether pages can be written is asked
before anything is graded, so that nobody waits for a class and then gets nothing.
"""

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from typing import TextIO

from evaluator.cli.files import FileError, shown, write_pieces, write_text
from evaluator.cli.targets import STANDARD_OUTPUT
from evaluator.errors import UsageError
from evaluator.errors.system import reason

Pieces = Callable[[], Iterable[bytes]]


class Outlet:
    """Where files and the screen are written to. Made by `outlet`."""

    def __init__(self) -> None:
        self.failed: FileError | None = None
        """The first file that could not be written, if there is one."""
        self.trouble: OSError | None = None
        """Why the standard output, or a pipe, took no more."""

    def put(self, *documents: tuple[str | None, Pieces]) -> None:
        """Write documents under their paths, those without one not at all, piece by piece.

        `-` is the standard output and comes last.
        """
        named = [(path, pieces) for path, pieces in documents if path is not None]
        for path, pieces in sorted(named, key=lambda one: one[0] == STANDARD_OUTPUT):
            try:
                if path == STANDARD_OUTPUT:
                    self._put_out(pieces)
                else:
                    write_pieces(path, pieces(), private=True)
            except BrokenPipeError as error:
                self.trouble = error
            except FileError as error:
                self.failed = self.failed or error

    def _put_out(self, pieces: Pieces) -> None:
        if sys.stdout is None:
            raise FileError("The standard output is closed; give a file instead of `-`.")
        self.tell(lambda stream: stream.buffer.writelines(pieces()))

    def tell(self, write: Callable[[TextIO], None]) -> None:
        """Write on the standard output, as long as it takes anything."""
        if sys.stdout is None or self.trouble is not None:
            return
        try:
            write(sys.stdout)
            sys.stdout.flush()
        except OSError as error:
            self.trouble = error


@contextmanager
def outlet() -> Iterator[Outlet]:
    """An outlet for one command; raises at the end what could not be written.

    Raises `FileError`, and what the system said of the screen.
    """
    out = Outlet()
    yield out
    if out.failed is not None:
        raise out.failed
    if out.trouble is not None:
        raise out.trouble


def put_chart(path: str | None, text: str) -> None:
    """Write a chart that was made, or print it where no file is named. Raises `FileError`."""
    if path not in (None, STANDARD_OUTPUT):
        write_text(path, text)
    elif sys.stdout is not None:
        from evaluator.show.page import sheet_for

        sheet = sheet_for(sys.stdout)
        for row in text.splitlines():
            print(sheet.text(row))


def ready_for_pages(folder: str) -> None:
    """Make the folder if it is not there. Raises `UsageError`, `FileError`."""
    from evaluator.show.pages.render import NO_JINJA

    if find_spec("jinja2") is None:
        raise UsageError(NO_JINJA)
    try:
        os.makedirs(folder, exist_ok=True)
    except (OSError, ValueError) as error:
        why = "a file has that name" if os.path.isfile(folder) else reason(error)
        raise FileError(f"The folder {shown(folder)} could not be made: {why}.") from None
