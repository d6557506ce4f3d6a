"""`evaluator chart draft SHEET -o song.txt`: a chart to be corrected instead of typed.

The sheet says which chords come, above which words. What a chart has to say beyond that is
assumed, and marked in comments.
"""

import argparse
import os
from typing import TYPE_CHECKING, Any

from evaluator.cli.files import FileError, check_new, read_sheet_bytes, shown
from evaluator.cli.helping import HelpFormatter
from evaluator.cli.put import put_chart
from evaluator.cli.say import say_error
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.chart.graph import Meter


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "draft",
        help="draft a chart from a sheet with chords above the words",
        description="Draft a chart from the sheet that is handed out, plain text with lines of "
        "chords above the words. What the sheet does not say is assumed and marked: read the "
        "chart through before it is handed out.",
        epilog="example: evaluator chart draft charts/sheets/pewter_sky.txt -o sky.txt",
        formatter_class=HelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("sheet", metavar="SHEET", help="the sheet, a plain text file")
    parser.add_argument("--tempo", metavar="BPM", help="beats a minute, if the sheet does not say")
    parser.add_argument("--meter", metavar="N/M", help="such as 3/4, if the sheet does not say")
    parser.add_argument(
        "-o", "--output", metavar="CHART", help="the chart to write; without it, it is printed"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `FileError` for a sheet that cannot be read and a chart that is there already."""
    if options.output is not None:
        check_new(options.output)
    tempo, meter = _tempo(options.tempo), _meter(options.meter)
    raw = read_sheet_bytes(options.sheet)
    from evaluator.draft import Asked, SheetError, draft_sheet, read_sheet, write_draft

    name = os.path.splitext(os.path.basename(shown(options.sheet)))[0]
    try:
        draft = draft_sheet(read_sheet(raw, name=name), Asked(tempo, meter))
    except SheetError as error:
        raise FileError(f"{shown(options.sheet)}: {error}") from error
    put_chart(options.output, write_draft(draft))
    sure, bars = draft.sure
    say_error(f"{sure} of {bars} bars are sure; the others say in comments what is not", who="")
    return 0


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
