"""`evaluator chart show CHART`: the chart for the music stand."""

import argparse
import sys
from typing import Any

from evaluator.cli.files import read_chart_text, shown, write_text
from evaluator.cli.targets import check_not_input


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "show",
        help="print a chart for the music stand",
        description="Print a chart for the music stand, with the bars numbered as reports number "
        "them and the patterns of both hands; or write it as a page for the printer.",
        epilog="example: evaluator chart show charts/kettle_lane.txt",
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument("--html", metavar="FILE", help="write a page to be printed instead")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `ChartError` with every mistake of the chart."""
    if options.html is not None:
        check_not_input(options.html, [options.chart])
    text = read_chart_text(options.chart)
    from evaluator.chart import compile_chart, parse_chart
    from evaluator.show.chart_lines import stand_chart

    chart = parse_chart(text, file=shown(options.chart))
    stand = stand_chart(chart, compile_chart(chart))
    if options.html is not None:
        from evaluator.show.pages.chart import chart_page

        write_text(options.html, chart_page(stand))
    elif sys.stdout is not None:
        from evaluator.show.chart_sheet import chart_sheet
        from evaluator.show.page import sheet_for
        from evaluator.show.writing import takes_colour, write

        sheet = sheet_for(sys.stdout)
        write(chart_sheet(stand, sheet), sys.stdout, colour=takes_colour(sys.stdout))
    return 0
