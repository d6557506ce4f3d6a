"""`evaluator chart check CHART`: can this chart be handed out?

Lists every mistake with its place, or says what the chart comes to: a teacher who reads
that verse 2 has ten bars sees at once if a line is missing. What can be read and is
probably not meant so is told below that; the chart is good all the same.
"""

import argparse
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from evaluator.cli.files import read_chart_text, shown
from evaluator.show.page import Sheet, paragraph, sheet_for

if TYPE_CHECKING:
    from evaluator.chart.graph import BarGraph
    from evaluator.chart.model import Chart


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "check",
        help="list the mistakes in a chart, or count its bars",
        description="List every mistake of a chart with its place and what would be right, or say "
        "how many bars each section comes to: the quickest way to see that a line is missing.",
        epilog="example: evaluator chart check charts/kettle_lane.txt",
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `ChartError` with every mistake of the chart."""
    text = read_chart_text(options.chart)
    from evaluator.chart import compile_chart, parse_chart
    from evaluator.chart.remarks import remarks

    chart = parse_chart(text, file=shown(options.chart))
    graph = compile_chart(chart)
    if sys.stdout is not None:
        page = sheet_for(sys.stdout)
        for row in _rows(chart, graph, page):
            indent = " " * (len(row) - len(row.lstrip()))
            for line in paragraph(row.strip(), page.width, first=indent, rest=2 * indent):
                print("".join(text for text, _ in line))
        found = remarks(chart)
        print("No mistakes, but look at this again:" if found else "No mistakes.")
        for remark in found:
            for shown_line in str(remark).splitlines():
                print(page.text(shown_line))
    return 0


def _rows(chart: "Chart", graph: "BarGraph", sheet: Sheet) -> Iterator[str]:
    from evaluator.report.places import amount, amount_between, bar_numbers

    pattern = "" if graph.has_patterns else "; no pattern, so the rhythm is not judged"
    yield sheet.text(
        f"{graph.title}: {amount(graph.count, 'bar')} of {graph.meter} at "
        f"{graph.bpm:g} beats a minute{pattern}."
    )
    sections: dict[int, list[int]] = {}
    labels: dict[int, str] = {}
    for index in graph.written:
        bar = graph.bars[index]
        sections.setdefault(bar.section_index, []).append(bar.number)
        labels[bar.section_index] = bar.section
    for section, numbers in sections.items():
        count = amount_between(*chart.sections[section].bars, "bar")
        optional = "; may be left out" if chart.sections[section].optional else ""
        yield sheet.text(f"  {labels[section]}: {count} ({bar_numbers(numbers)}){optional}")
