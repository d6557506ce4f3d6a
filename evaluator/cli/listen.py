"""`evaluator listen CHART`: play, and be told the moment the last chord fades.

Finds the piano, records it into a journal, shows where in the song the player is, and at
the end writes the take and the same report on it as `grade` would.
"""

import argparse
import os
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from evaluator.cli.files import FileError, read_chart_text, read_take_bytes, shown
from evaluator.cli.listen_words import parser
from evaluator.cli.say import say, say_error
from evaluator.cli.which_piano import port_name
from evaluator.errors import TakeError, UsageError
from evaluator.errors.system import reason

if TYPE_CHECKING:
    from evaluator.excerpt.song import Song
    from evaluator.live.capture import Capture
    from evaluator.live.listening import Screen
    from evaluator.live.recorder import Task
    from evaluator.live.recover import Finished, Saved
    from evaluator.live.session import Settings
    from evaluator.report.model import Report

__all__ = ["parser", "run"]

ECHO_MENDED = (
    "The terminal did not show what is typed, as after a program that was killed; now it does."
)


def run(words: Sequence[str]) -> int:
    """Listen, save, report. Raises `ChartError`, `FileError`, `UsageError`, `NoBackendError`."""
    options = parser().parse_args(words)
    text = read_chart_text(options.chart)
    if options.speed is not None and options.replay is None:
        raise UsageError("--speed is for a --replay; nobody plays faster for it.")
    if options.replay is not None:
        _check_replay(options.replay, options.channel)
    from evaluator.grading import prepare

    song = prepare(text, chart_file=shown(options.chart), channel=options.channel)
    folder = _folder(options.save)
    _recover(folder)
    task = _task(options, folder, song)
    recorded = _record(song, task, options)
    status = 1 if recorded.broke_off else 0
    if recorded.take is None:
        say("Nothing was played, so nothing was saved.")
        return status
    say(f"The take is saved: {shown(str(recorded.take.path))}")
    if recorded.leaving:
        return status
    return max(status, _report(song, recorded.take, text, options))


@dataclass(frozen=True, slots=True)
class _Recorded:
    """How a recording ended."""

    take: "Saved | None"
    leaving: bool
    """Nobody is there any more to read on."""
    broke_off: bool
    """Nothing more could be recorded, whatever was still played."""


def _check_replay(path: str, channel: int | None) -> None:
    """Refuse a take that cannot be read. Raises `FileError`, `TakeError`."""
    from evaluator.take.sound_file import read_players_take

    try:
        read_players_take(read_take_bytes(path), channel=channel)
    except TakeError as error:
        raise TakeError(f"{shown(path)}: {error}") from None


def _folder(name: str) -> Path:
    folder = Path(name)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritable(name, error) from None
    return folder


def _unwritable(name: str, error: OSError) -> FileError:
    why = reason(error)
    return FileError(f"Takes cannot be saved in {shown(name)}: {why}. Give another --save.")


def _recover(folder: Path) -> None:
    """Save the takes that an earlier start left behind, and say so."""
    from evaluator.live.recover import finish, left_behind
    from evaluator.report.places import amount

    for journal in left_behind(folder):
        try:
            finished = finish(journal)
        except OSError as error:
            name = error.filename or journal
            say_error(f"A take that was left behind could not be saved ({shown(str(name))}).")
            continue
        if finished.take is not None:
            say(
                "A take was left behind unfinished; it is saved now: "
                f"{shown(str(finished.take.path))} ({amount(finished.take.notes, 'note')})."
            )
        _tell_aside(finished)


def _tell_aside(finished: "Finished") -> None:
    if finished.aside is not None:
        say_error(
            "Not all of what was recorded could be read; the journal is kept: "
            f"{shown(str(finished.aside))}."
        )


def _task(options: argparse.Namespace, folder: Path, song: "Song") -> "Task":
    from evaluator.live.clock import host_clock
    from evaluator.live.recorder import Task
    from evaluator.live.recover import journal_for
    from evaluator.live.session import ANTICIPATION

    port = "" if options.replay is not None else port_name(options.port)
    journal = journal_for(folder, Path(options.chart).stem, datetime.now())
    if options.replay is not None:
        return Task(
            str(journal),
            replay=options.replay,
            start=host_clock(),
            speed=options.speed or 1.0,
            held=options.count_in > 0,
            lead=ANTICIPATION * 60.0 / (options.tempo or song.graph.bpm),
        )
    return Task(str(journal), port=port, click=options.click or options.count_in > 0)


def _record(song: "Song", task: "Task", options: argparse.Namespace) -> _Recorded:
    """Listen to one take."""
    from evaluator.live.capture import Capture, CaptureError
    from evaluator.live.clock import host_clock, sped_up
    from evaluator.live.keyboard import listening_for_stop
    from evaluator.live.listening import Listening
    from evaluator.live.session import Session

    clock = sped_up(task.speed, task.start) if task.replay else host_clock
    session = Session(song, _settings(options))
    facts = {
        "chart": shown(options.chart),
        "title": song.graph.title,
        "began": datetime.now().isoformat(timespec="seconds"),
    }
    try:
        capture = Capture(task, facts)
    except OSError as error:
        raise _unwritable(options.save, error) from None
    broke_off = False
    try:
        with listening_for_stop() as stop, _screens(capture, plain=options.plain) as screens:
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
    return _Recorded(saved, stop.leaving, broke_off)


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


def _settings(options: argparse.Namespace) -> "Settings":
    from evaluator.live.session import Settings

    return Settings(
        count_in=options.count_in,
        bpm=options.tempo,
        click=options.click,
        starts_itself=options.replay is not None,
    )


@contextmanager
def _screens(capture: "Capture", *, plain: bool) -> Iterator[tuple["Screen", "Screen"]]:
    """The screen to use, and the one for when it breaks."""
    from evaluator.show.live_screen import LineScreen, can_draw, live_screen
    from evaluator.show.writing import takes_colour

    stream = sys.stdout if sys.stdout is not None else open(os.devnull, "w")  # noqa: SIM115
    lines = LineScreen(stream)
    if plain or not can_draw(stream):
        yield lines, lines
        return
    with live_screen(stream, capture.log, colour=takes_colour(stream)) as screen:
        yield screen, lines


def _report(song: "Song", saved: "Saved", text: str, options: argparse.Namespace) -> int:
    """The report on the saved take, as `grade` would give it."""
    from evaluator.live.rescue import graded_as_far_as_possible
    from evaluator.show.terminal import print_report

    name = shown(str(saved.path))
    content = read_take_bytes(str(saved.path))
    report, trouble = graded_as_far_as_possible(song, content, take_file=name)
    if report is not None and sys.stdout is not None:
        print()
        print_report(report, sys.stdout, plain=options.plain)
    if trouble:
        # Nor do marks of a part of it belong into the history.
        say_error(trouble)
        return 1
    if not options.no_history and report is not None:
        _keep(report, (text, content), options.student or "")
    return 0


def _keep(report: "Report", content: tuple[str, bytes], student: str) -> None:
    """Into the history, once the report is told."""
    from evaluator.history import remember
    from evaluator.history.entry import entry_of

    now = time.time()
    trouble = remember([entry_of(report, content, student=student, times=(now, now))])
    if trouble:
        say_error(trouble)
