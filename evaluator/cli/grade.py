"""`evaluator grade CHART TAKE...`: how were these takes played?

The chart is read once; each take is then read, judged and reported for itself, and one
that cannot be read does not stop the others.
"""

import argparse
import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import (
    are_swapped,
    check_not_input,
    read_chart_text,
    read_take_bytes,
    shown,
    write_text,
)
from evaluator.cli.say import say_error
from evaluator.errors import EvaluatorError, UsageError

if TYPE_CHECKING:
    from evaluator.report.model import Report

EXAMPLE: Final = """\
examples:
  evaluator grade kettle_lane.txt monday.mid
  evaluator grade kettle_lane.txt takes/*.mid --json class.json
"""
STANDARD_OUTPUT: Final = "-"


def run(words: Sequence[str]) -> int:
    """Grade, print and write; 1 if a take could not be read or the file not written."""
    options = _parser().parse_args(words)
    if options.json not in (None, STANDARD_OUTPUT):
        check_not_input(options.json, [options.chart, *options.takes])
    return grade_files(options.chart, options.takes, plain=options.plain, json_file=options.json)


def grade_files(
    chart: str, takes: Sequence[str], *, plain: bool = False, json_file: str | None = None
) -> int:
    """The same for files that are already chosen."""
    if are_swapped(chart, takes[0]):
        raise UsageError(
            f"{shown(chart)} is a MIDI file and {shown(takes[0])} is text: "
            "the chart comes first, then the takes."
        )
    reports: list[Report] = []
    for report in _reports(chart, takes):
        if json_file != STANDARD_OUTPUT:
            _show(report, plain=plain, follows=bool(reports))
        reports.append(report)
    if json_file is not None and reports:
        _write_json(reports, json_file, several=len(takes) > 1)
    return 0 if len(reports) == len(takes) else 1


def _reports(chart: str, takes: Sequence[str]) -> Iterator["Report"]:
    """One report for each take that can be read; the others are told at once."""
    text = read_chart_text(chart)
    from evaluator.grading import grade_take, prepare

    song = prepare(text, chart_file=shown(chart))
    for take in takes:
        try:
            yield grade_take(song, read_take_bytes(take), take_file=shown(take))
        except EvaluatorError as error:
            told = str(error)
            say_error(told if shown(take) in told else f"{shown(take)}: {told}")


def _show(report: "Report", *, plain: bool, follows: bool) -> None:
    from evaluator.show.terminal import print_report

    if sys.stdout is None:
        return
    if follows:
        print()
    print_report(report, sys.stdout, plain=plain)


def _write_json(reports: Sequence["Report"], json_file: str, *, several: bool) -> None:
    from evaluator.report.json import to_json, to_json_list

    document = to_json_list(reports) if several else to_json(reports[0])
    if json_file == STANDARD_OUTPUT:
        print(document, end="")
    else:
        write_text(json_file, document)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="evaluator grade",
        description="Grade takes of a song against its chart: chords, bass, pattern and form, "
        "bar by bar.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument("takes", metavar="TAKE", nargs="+", help="MIDI files (.mid)")
    parser.add_argument(
        "--json",
        metavar="FILE",
        help="write the report as JSON too (of several takes a list); - writes it to the "
        "standard output instead of the report",
    )
    parser.add_argument(
        "--plain",
        action="store_true",
        help="a line a bar in plain words, without colour or signs, as for a screen reader",
    )
    return parser
