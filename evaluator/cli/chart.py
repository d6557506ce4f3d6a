"""`evaluator chart ...`: the commands that need a chart and no take."""

import argparse
from collections.abc import Sequence

from evaluator.cli import chart_check, chart_draft, chart_export, chart_import, chart_show, guide
from evaluator.cli.helping import Parser


def run(words: Sequence[str]) -> int:
    """Hand over to the command after `chart`."""
    options = parser().parse_args(words)
    status: int = options.run(options)
    return status


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator chart",
        description="Work with charts: draft one from a sheet, check it before you hand it "
        "out, print it, convert it from or to a score, or write a MIDI file to play along to.",
        epilog="example: evaluator chart check charts/kettle_lane.txt",
    )
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    chart_draft.add_to(commands)
    chart_check.add_to(commands)
    chart_show.add_to(commands)
    chart_import.add_to(commands)
    chart_export.add_to(commands)
    guide.add_to(commands)
    return parser
