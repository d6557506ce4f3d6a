"""`evaluator chart import SCORE -o chart.txt`: a chart from a score that exists already.

The chart is a beginning: what the score could not say, or the chart not hold, is listed
for the teacher to look at.
"""

import argparse
import os
import sys
from typing import Any

from evaluator.cli.files import FileError, read_score_bytes, shown, write_text
from evaluator.cli.helping import HelpFormatter
from evaluator.cli.say import say_error


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "import",
        help="make a chart of a MusicXML score",
        description="Make a chart of a MusicXML score: a lead sheet gives chords and words, "
        "a piano score its notes, a choir or a quartet the chords of all parts together. What the "
        "score does not say is told: read the chart through before it is handed out.",
        epilog="example: evaluator chart import kettle_lane.musicxml -o lane.txt",
        formatter_class=HelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("score", metavar="SCORE", help="the score, .musicxml or .mxl")
    parser.add_argument(
        "-o", "--output", metavar="CHART", help="the chart to write; without it, it is printed"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `FileError` for a score that cannot be read and a chart that is there already."""
    if options.output is not None and os.path.lexists(options.output):
        raise FileError(
            f"{shown(options.output)} is there already, and a chart is handwork: "
            "give another name, or move it away."
        )
    raw = read_score_bytes(options.score)
    from evaluator.notation import MissingLibraryError, ScoreError, import_score

    name = os.path.splitext(os.path.basename(shown(options.score)))[0]
    try:
        chart = import_score(raw, name=name)
    except MissingLibraryError:
        raise
    except ScoreError as error:
        raise FileError(f"{shown(options.score)}: {error}") from error
    if options.output is not None:
        write_text(options.output, chart.text)
    elif sys.stdout is not None:
        from evaluator.show.page import sheet_for

        sheet = sheet_for(sys.stdout)
        for row in chart.text.splitlines():
            print(sheet.text(row))
    for remark in chart.remarks:
        say_error(remark, who=f"{shown(options.score)}: ")
    return 0
