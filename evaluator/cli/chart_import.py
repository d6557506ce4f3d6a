"""`evaluator chart import SCORE -o chart.txt`: a chart from a score that exists already.

The chart is a beginning: what the score could not say, or the chart not hold, is listed
for the teacher to look at.
"""

import argparse
import os
from typing import Any

from evaluator.cli.files import FileError, read_score_bytes, shown
from evaluator.cli.put import put_chart
from evaluator.cli.say import say_error
from evaluator.cli.targets import check_new


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "import",
        help="make a chart from a MusicXML score",
        description="Make a chart from a MusicXML score: a lead sheet gives chords and words, "
        "a piano score its notes, a choir or a quartet the chords of all parts together. "
        "What the score leaves open is said: read the chart through before you hand it out.",
        epilog="example: evaluator chart import kettle_lane.musicxml -o lane.txt",
    )
    parser.add_argument("score", metavar="SCORE", help="the score, .musicxml or .mxl")
    parser.add_argument(
        "-o", "--output", metavar="CHART", help="the chart to write; without it, it is printed"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `FileError` for a score that cannot be read and a chart that is there already."""
    if options.output is not None:
        check_new(options.output)
    raw = read_score_bytes(options.score)
    from evaluator.notation import ScoreError, import_score

    name = os.path.splitext(os.path.basename(shown(options.score)))[0]
    try:
        chart = import_score(raw, name=name)
    except ScoreError as error:
        raise FileError(f"{shown(options.score)}: {error}") from error
    put_chart(options.output, chart.text)
    for remark in chart.remarks:
        say_error(remark, who=f"{shown(options.score)}: ")
    return 0
