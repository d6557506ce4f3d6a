"""`evaluator chart export CHART -o song.musicxml`: a chart for a notation program."""

import argparse
import os
from typing import Any, Final

from evaluator.cli.files import read_chart_text, shown, write_text
from evaluator.cli.targets import check_not_input
from evaluator.errors import UsageError

OTHERS: Final = (".mxl", ".mscx", ".mscz", ".mid", ".midi", ".pdf")
"""Endings of what other programs would take the score for and then not open."""


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "export",
        help="write a chart as a MusicXML score",
        description="Write a chart as a MusicXML score: chords, words and form, and the "
        "pattern spelled out, for any notation program.",
        epilog="example: evaluator chart export charts/kettle_lane.txt -o kettle_lane.musicxml",
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument(
        "-o", "--output", metavar="SCORE", required=True, help="the score to write, .musicxml"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `ChartError` with every mistake of the chart, `UsageError` for a name that says the
    score is something else."""
    if os.path.splitext(options.output)[1].lower() in OTHERS:
        raise UsageError(
            f"{shown(options.output)}: a score is written as MusicXML, for other programs to open. "
            "Give it a name that ends in .musicxml."
        )
    check_not_input(options.output, [options.chart])
    text = read_chart_text(options.chart)
    from evaluator.chart import parse_chart
    from evaluator.notation import export_chart

    chart = parse_chart(text, file=shown(options.chart))
    write_text(options.output, export_chart(chart).decode("utf-8"))
    return 0
