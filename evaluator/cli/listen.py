"""`evaluator listen CHART`: play, and be told the moment the last chord fades.

Finds the piano, records it into a journal, shows where in the song the player is, and at
the end writes the take and the same report on it as `grade` would.
"""

import argparse
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from evaluator.cli.at_piano import Look, Recorded, record, recover_takes, take_folder
from evaluator.cli.files import read_chart_text, read_take_bytes, shown
from evaluator.cli.kept import keep
from evaluator.cli.listen_words import parser
from evaluator.cli.say import say, say_error
from evaluator.cli.which_piano import port_name
from evaluator.errors import TakeError, UsageError

if TYPE_CHECKING:
    from evaluator.excerpt.song import Song
    from evaluator.live.recorder import Task
    from evaluator.live.recover import Saved
    from evaluator.live.session import Settings

__all__ = ["parser", "run"]


def run(words: Sequence[str]) -> int:
    """Listen, save, report. Raises `ChartError`, `FileError`, `UsageError`, `NoBackendError`."""
    options = parser().parse_args(words)
    text = read_chart_text(options.chart)
    if options.speed is not None and options.replay is None:
        raise UsageError("--speed works only with --replay.")
    if options.replay is not None:
        _check_replay(options.replay, options.channel)
    from evaluator.grading import prepare

    song = prepare(text, chart_file=shown(options.chart), channel=options.channel)
    folder = take_folder(options.save)
    recover_takes(folder)
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


def _check_replay(path: str, channel: int | None) -> None:
    """Refuse a take that cannot be read. Raises `FileError`, `TakeError`."""
    from evaluator.take.midi_file import read_players_take

    try:
        read_players_take(read_take_bytes(path), channel=channel)
    except TakeError as error:
        raise TakeError(f"{shown(path)}: {error}") from None


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


def _record(song: "Song", task: "Task", options: argparse.Namespace) -> Recorded:
    """Listen to one take."""
    from evaluator.live.clock import host_clock, sped_up
    from evaluator.live.session import Session
    from evaluator.show.live_page import lay_live, news

    facts = {
        "chart": shown(options.chart),
        "title": song.graph.title,
        "began": datetime.now().isoformat(timespec="seconds"),
    }
    clock = sped_up(task.speed, task.start) if task.replay else host_clock
    look = Look(lay_live, news, options.plain)
    return record(Session(song, _settings(options)), task, facts, look, clock)


def _settings(options: argparse.Namespace) -> "Settings":
    from evaluator.live.session import Settings

    return Settings(
        count_in=options.count_in,
        bpm=options.tempo,
        click=options.click,
        starts_itself=options.replay is not None,
    )


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
        keep(report, text, content, student=options.student or "")
    return 0
