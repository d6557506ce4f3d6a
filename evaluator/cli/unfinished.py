"""Where does a run over a class put down what it has done, and how does it end when it must?

Beside the file that is asked for, under its name and `.unfinished`: whoever gives the same
command again goes on from there, and when everything is written it is deleted. With pages
it lies in their folder, so that it goes with them. A run that only prints has no such place;
what it puts aside is gone with it.

A request of the system to end is heeded in good order, as Ctrl-C is: workers are told, what was
put aside stays. Without this the process would be gone at once, and what Python starts beside its
workers would complain on the screen.
"""

import io
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import BinaryIO, Final

from evaluator.batch.journal import Journal, JournalError
from evaluator.cli.files import FileError, shown
from evaluator.cli.grade_words import Wanted
from evaluator.cli.targets import STANDARD_OUTPUT
from evaluator.errors.system import reason
from evaluator.live.rights import private

ENDING: Final = ".unfinished"


@contextmanager
def journal_for(wanted: Wanted) -> Iterator[Journal]:
    """The journal of a run, deleted when all goes well. Raises `FileError`."""
    place = place_for(wanted)
    if place is None:
        with _aside() as file:
            yield Journal(file)
        return
    with _opened(place) as file:
        try:
            journal = Journal(file)
        except JournalError:
            raise FileError(
                f"{shown(place)} is in the way: the program keeps its progress under "
                f"that name. Give the file another name."
            ) from None
        yield journal
        _delete(place, file)


def _aside() -> BinaryIO:
    """A file that nobody else sees; in memory where no disk has room for one."""
    import tempfile

    try:
        return tempfile.TemporaryFile()
    except OSError:
        return io.BytesIO()


def place_for(wanted: Wanted) -> str | None:
    """Where it lies; None if nothing but the screen is written to."""
    index = None if wanted.html is None else os.path.join(wanted.html, "index.html")
    for path in (index, wanted.csv, wanted.json):
        if path is None or path == STANDARD_OUTPUT:
            continue
        if os.path.isfile(path) or not os.path.exists(path):
            return path + ENDING
    return None


def _opened(place: str) -> BinaryIO:
    try:
        file = open(place, "a+b", opener=private)  # noqa: SIM115 closed by who asked for it
    except (OSError, ValueError) as error:
        target = shown(place.removesuffix(ENDING))
        raise FileError(f"{target} could not be written: {reason(error)}.") from None
    if os.name == "posix":
        import fcntl

        try:
            fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.close()
            raise FileError(
                f"{shown(place)} is in use: another run is writing the same file."
            ) from None
        except OSError:
            pass  # some network disks have no locks
    return file


def _delete(place: str, file: BinaryIO) -> None:
    with suppress(OSError):
        if os.name == "nt":  # which deletes no file that is open
            file.close()
        os.unlink(place)


NAMES: Final = ("SIGTERM", "SIGHUP")


@contextmanager
def ending_in_order() -> Iterator[None]:
    """For the time of a run: a request to end raises `SystemExit`, with the status that
    shells have for it (128 and the number of the signal)."""
    numbers = [getattr(signal, name) for name in NAMES if hasattr(signal, name)]
    before = {number: signal.signal(number, _end) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _end(number: int, _: FrameType | None) -> None:
    raise SystemExit(128 + number)
