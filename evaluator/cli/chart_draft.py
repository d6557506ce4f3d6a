"""`evaluator chart draft SHEET --take DEMO.mid -o song.txt`: a chart to be corrected, not typed.

The sheet says which chords come, above which words. What a chart has to say beyond that is
heard in a take of the song, or else assumed, and marked in comments where it is not sure.
"""

import argparse
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any, TypeVar

from evaluator.cli.files import FileError, read_sheet_bytes, read_take_bytes, shown, write_text
from evaluator.cli.put import put_chart
from evaluator.cli.say import say_error
from evaluator.cli.targets import check_apart, check_new, check_not_input
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.draft import Asked, Draft

Value = TypeVar("Value")


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "draft",
        help="draft a chart from a sheet with chords above the words, and a take",
        description="Draft a chart from the sheet that is handed out, plain text with lines of "
        "chords above the words or in brackets among them, and from a take of the song, which "
        "shows how long each chord lasts, the bass under it and the pattern of the hands; from "
        "a take alone, the chords are named by its notes. What is doubtful is marked: read the "
        "chart through before you hand it out.",
        epilog="examples:\n"
        "  evaluator chart draft charts/sheets/pewter_sky.txt -o sky.txt\n"
        "  evaluator chart draft charts/sheets/kettle_lane.txt "
        "--take recordings/kettle_lane-clean.mid\n"
        "  evaluator chart draft --take recordings/kettle_lane-clean.mid",
    )
    parser.add_argument(
        "sheet", metavar="SHEET", nargs="?", help="the sheet, a plain text file; or --take alone"
    )
    parser.add_argument("--take", metavar="TAKE", help="the song played through, a MIDI file")
    parser.add_argument(
        "--tempo", metavar="BPM", help="beats a minute, roughly, if the sheet does not say"
    )
    parser.add_argument("--meter", metavar="N/M", help="such as 3/4, if the sheet does not say")
    parser.add_argument(
        "-o", "--output", metavar="CHART", help="the chart to write; without it, it is printed"
    )
    parser.add_argument(
        "--html",
        metavar="FILE",
        help="write a page with the doubtful bars first, and all bars of the draft beside those "
        "of the take, to be heard",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `FileError` for what cannot be read and a chart that is there already."""
    if options.output is not None:
        check_new(options.output)
    from evaluator.chart import values

    asked_tempo = _given("--tempo", values.tempo, options.tempo)
    asked_meter = _given("--meter", values.meter, options.meter)
    if options.sheet is None and options.take is None:
        raise UsageError(
            "Give a sheet, a take with --take, or both: there is nothing to draft from."
        )
    _check_page(options)
    from evaluator.draft import Asked, write_draft

    asked = Asked(asked_tempo, asked_meter)
    draft = _alone(options.take, asked) if options.sheet is None else _of_sheet(options, asked)
    text = write_draft(draft)
    put_chart(options.output, text)
    if options.html is not None:
        _write_page(options, draft, text)
    sure, bars = draft.sure
    others = "; comments say what is doubtful in the others" if sure < bars else ""
    say_error(f"{sure} of {bars} bars are sure{others}", who="")
    return 0


def _of_sheet(options: argparse.Namespace, asked: "Asked") -> "Draft":
    """The draft of a sheet, with a take or without. Raises `FileError`."""
    raw = read_sheet_bytes(options.sheet)
    from evaluator.draft import draft_sheet, read_sheet

    with _naming(options.sheet):
        sheet = read_sheet(raw, name=_title(options.sheet))
    if options.take is None:
        return draft_sheet(sheet, asked)
    raw = read_take_bytes(options.take)
    from evaluator.draft.played import draft_played
    from evaluator.take.midi_file import read_take

    with _naming(options.take):
        return draft_played(sheet, read_take(raw), asked)


def _alone(path: str, asked: "Asked") -> "Draft":
    """The draft of a take without a sheet. Raises `FileError`."""
    raw = read_take_bytes(path)
    from evaluator.draft.alone import draft_take
    from evaluator.take.midi_file import read_take

    with _naming(path):
        return draft_take(read_take(raw), asked, name=_title(path))


def _check_page(options: argparse.Namespace) -> None:
    """Raises `UsageError` for a page without a take, or in the place of something else."""
    if options.html is None:
        return
    if options.take is None:
        raise UsageError("A page shows the draft beside a take; name the take with --take.")
    check_not_input(options.html, [one for one in (options.sheet, options.take) if one])
    check_apart(options.output, options.html)
    if find_spec("jinja2") is None:
        from evaluator.show.pages.render import NO_JINJA

        raise UsageError(NO_JINJA)


def _write_page(options: argparse.Namespace, draft: "Draft", text: str) -> None:
    """The take, graded by its own draft: what is doubtful, and then each bar as it is written
    and as it was played."""
    from evaluator.grading import grade_fully, prepare
    from evaluator.show.pages import take_page

    song = prepare(text, chart_file=shown(options.output or options.take))
    graded = grade_fully(song, read_take_bytes(options.take), take_file=shown(options.take))
    write_text(options.html, take_page(graded, draft=draft))


def _title(path: str) -> str:
    return os.path.splitext(os.path.basename(shown(path)))[0]


@contextmanager
def _naming(path: str) -> Iterator[None]:
    """What is wrong with a file, told with its name. Raises `FileError`."""
    from evaluator.draft import SheetError
    from evaluator.errors import TakeError

    try:
        yield
    except (SheetError, TakeError) as error:
        raise FileError(f"{shown(path)}: {error}") from error


def _given(option: str, read: Callable[[str], Value], text: str | None) -> Value | None:
    """The value of an option, read as a chart's is. Raises `UsageError`."""
    from evaluator.chart.values import RefusedError

    try:
        return None if text is None else read(text)
    except RefusedError as refused:
        raise UsageError(f"{option}: {_sentence(refused.message, refused.suggestion)}") from None


def _sentence(*parts: str) -> str:
    return "; ".join(part for part in parts if part) + "."
