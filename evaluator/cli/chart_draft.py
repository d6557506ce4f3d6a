"""`evaluator chart draft SHEET --take DEMO.mid -o song.txt`: a chart to be corrected, not typed.

The sheet says which chords come, above which words. What a chart has to say beyond that is
heard in a take of the song, or else assumed, and marked in comments where it is not sure.
"""

import argparse
import os
from typing import TYPE_CHECKING, Any

from evaluator.cli.files import FileError, check_new, read_sheet_bytes, read_take_bytes, shown
from evaluator.cli.helping import HelpFormatter
from evaluator.cli.put import put_chart
from evaluator.cli.say import say_error
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.chart.graph import Meter
    from evaluator.draft import Asked, Draft, Sheet


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "draft",
        help="draft a chart from a sheet with chords above the words, and a take",
        description="Draft a chart from the sheet that is handed out, plain text with lines of "
        "chords above the words, and from a take of the song, which shows how long each chord "
        "lasts, the bass under it and the pattern of the hands. What is doubtful is marked: read "
        "the chart through before it is handed out.",
        epilog="examples:\n"
        "  evaluator chart draft charts/sheets/pewter_sky.txt -o sky.txt\n"
        "  evaluator chart draft charts/sheets/kettle_lane.txt "
        "--take recordings/kettle_lane-clean.mid",
        formatter_class=HelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("sheet", metavar="SHEET", help="the sheet, a plain text file")
    parser.add_argument("--take", metavar="TAKE", help="the song played through, a MIDI file")
    parser.add_argument(
        "--tempo", metavar="BPM", help="beats a minute, roughly, if the sheet does not say"
    )
    parser.add_argument("--meter", metavar="N/M", help="such as 3/4, if the sheet does not say")
    parser.add_argument(
        "-o", "--output", metavar="CHART", help="the chart to write; without it, it is printed"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `FileError` for what cannot be read and a chart that is there already."""
    if options.output is not None:
        check_new(options.output)
    tempo, meter = _tempo(options.tempo), _meter(options.meter)
    raw = read_sheet_bytes(options.sheet)
    from evaluator.draft import Asked, SheetError, draft_sheet, read_sheet, write_draft

    name = os.path.splitext(os.path.basename(shown(options.sheet)))[0]
    try:
        sheet = read_sheet(raw, name=name)
    except SheetError as error:
        raise FileError(f"{shown(options.sheet)}: {error}") from error
    asked = Asked(tempo, meter)
    draft = draft_sheet(sheet, asked) if options.take is None else _played(options, sheet, asked)
    put_chart(options.output, write_draft(draft))
    sure, bars = draft.sure
    say_error(f"{sure} of {bars} bars are sure; the others say in comments what is not", who="")
    return 0


def _played(options: argparse.Namespace, sheet: "Sheet", asked: "Asked") -> "Draft":
    """The draft of a sheet and a take. Raises `FileError`."""
    from evaluator.draft import SheetError
    from evaluator.draft.played import draft_played
    from evaluator.errors import TakeError
    from evaluator.take.sound_file import read_take

    try:
        return draft_played(sheet, read_take(read_take_bytes(options.take)), asked)
    except (SheetError, TakeError) as error:
        raise FileError(f"{shown(options.take)}: {error}") from error


def _tempo(text: str | None) -> float | None:
    if text is None:
        return None
    from evaluator.chart import values

    try:
        return values.tempo(text)
    except values.RefusedError as refused:
        raise UsageError(f"--tempo: {_sentence(refused.message, refused.suggestion)}") from None


def _meter(text: str | None) -> "Meter | None":
    if text is None:
        return None
    from evaluator.chart import values

    try:
        return values.meter(text)
    except values.RefusedError as refused:
        raise UsageError(f"--meter: {_sentence(refused.message, refused.suggestion)}") from None


def _sentence(*parts: str) -> str:
    return "; ".join(part for part in parts if part) + "."
