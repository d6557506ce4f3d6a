"""What do `listen` and `practise` share: the folder of the takes, the recording, the screen?

Nothing of what is played is ever lost: what an earlier start left behind is saved first, the
recorder runs in a process of its own, and the take is written whatever happened.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeVar

from evaluator.cli.files import FileError, shown
from evaluator.cli.say import say, say_error
from evaluator.errors.system import reason

if TYPE_CHECKING:
    from evaluator.live.capture import Capture
    from evaluator.live.clock import Clock
    from evaluator.live.listening import Playing, Screen
    from evaluator.live.recorder import Task
    from evaluator.live.recover import Finished, Saved
    from evaluator.show.live_screen import Layout, News

P = TypeVar("P")

ECHO_MENDED = (
    "The terminal was not showing what you type, because a program had been killed; now it does."
)


@dataclass(frozen=True, slots=True)
class Look(Generic[P]):
    """How what is played is shown."""

    lay: "Layout[P]"
    news: "News[P]"
    plain: bool
    """A line for each thing in plain words, no picture."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """How a recording ended."""

    take: "Saved | None"
    leaving: bool
    """Nobody is there any more to read on."""
    broke_off: bool
    """Nothing more could be recorded, whatever was still played."""


def take_folder(name: str) -> Path:
    """The folder for takes, made if it is not there. Raises `FileError`."""
    folder = Path(name)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritable(folder, error) from None
    return folder


def _unwritable(folder: Path, error: OSError) -> FileError:
    why = reason(error)
    return FileError(f"Takes cannot be saved in {shown(str(folder))}: {why}. Give another --save.")


def recover_takes(folder: Path) -> None:
    """Save the takes that an earlier start left behind, and say so."""
    from evaluator.live.recover import finish, left_behind
    from evaluator.report.places import amount

    for journal in left_behind(folder):
        try:
            finished = finish(journal)
        except OSError as error:
            name = error.filename or journal
            say_error(f"An unfinished take could not be saved ({shown(str(name))}).")
            continue
        if finished.take is not None:
            say(
                "An unfinished take was found; it is saved now: "
                f"{shown(str(finished.take.path))} ({amount(finished.take.notes, 'note')})."
            )
        _tell_aside(finished)


def _tell_aside(finished: "Finished") -> None:
    if finished.aside is not None:
        say_error(
            "Not all of what was recorded could be read; the journal is kept: "
            f"{shown(str(finished.aside))}."
        )


def record(
    session: "Playing[P]",
    task: "Task",
    facts: dict[str, str],
    look: Look[P],
    clock: "Clock",
) -> Recorded:
    """Listen to one take; `facts` go into its journal. Raises `FileError`."""
    from evaluator.live.capture import Capture, CaptureError
    from evaluator.live.keyboard import listening_for_stop
    from evaluator.live.listening import Listening

    try:
        capture = Capture(task, facts)
    except OSError as error:
        raise _unwritable(Path(task.journal).parent, error) from None
    broke_off = False
    try:
        with listening_for_stop() as stop, _screens(capture, look) as screens:
            listening = Listening(session, capture, screens, clock=clock)
            stop.at_once = listening.save
            listening.run(stop)
    except CaptureError as error:
        broke_off = True
        say_error(str(error))
    finally:
        capture.end()
        saved = _saved(capture.journal)
    if stop.mended:
        say(ECHO_MENDED)
    for trouble in listening.troubles:
        say_error(f"This is a fault of the program; please report it: {trouble}.")
    return Recorded(saved, stop.leaving, broke_off)


def _saved(journal: Path) -> "Saved | None":
    """The take of a journal in its file. Raises `FileError` if that cannot be written."""
    from evaluator.live.recover import finish

    try:
        finished = finish(journal)
    except OSError as error:
        raise FileError(
            f"The take could not be written: {reason(error)}. It is not lost: "
            f"{shown(str(journal))} holds it, and `evaluator grade` reads that."
        ) from None
    _tell_aside(finished)
    return finished.take


@contextmanager
def _screens(capture: "Capture", look: Look[P]) -> Iterator[tuple["Screen[P]", "Screen[P]"]]:
    """The screen to use, and the one for when it breaks."""
    from evaluator.show.live_screen import LineScreen, can_draw, live_screen
    from evaluator.show.writing import takes_colour

    stream = sys.stdout if sys.stdout is not None else open(os.devnull, "w")  # noqa: SIM115
    lines = LineScreen(stream, look.news, wraps=not look.plain)
    if look.plain or not can_draw(stream):
        yield lines, lines
        return
    with live_screen(stream, capture.log, look.lay, colour=takes_colour(stream)) as screen:
        yield screen, lines
