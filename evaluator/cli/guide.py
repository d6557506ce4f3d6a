"""`evaluator chart guide CHART -o FILE`: what does the chart sound like?

Writes a MIDI file of the whole song, or of a passage round and round, to listen to and to
play along to.
"""

import argparse
import sys
from typing import Any, Final

from evaluator.cli.files import read_chart_text, shown, write_bytes
from evaluator.cli.helping import number, whole
from evaluator.cli.targets import check_not_input
from evaluator.errors import UsageError

BPM: Final = (20.0, 400.0)
TIMES: Final = range(1, 101)

EXAMPLE: Final = """\
examples:
  evaluator chart guide charts/kettle_lane.txt -o kettle_lane.mid
  evaluator chart guide charts/kettle_lane.txt --bars 5-6 --tempo 72 --times 4 -o guide.mid
  evaluator chart guide charts/kettle_lane.txt --section "Chorus 2" --hands left -o left.mid
"""


def add_to(commands: Any) -> None:
    """Add the command to the subparsers of `evaluator chart`."""
    parser = commands.add_parser(
        "guide",
        help="write a MIDI file of the chart to play along to",
        description="Write a MIDI file of the chart as it is written, or of a passage "
        "of it, with a bar of count-in: to listen to, and to play along to.",
        epilog=EXAMPLE,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument("--bars", metavar="A-B", help="only these bars, as the report counts them")
    parser.add_argument(
        "--section", metavar="NAME", type=shown, help="only this section, such as `Chorus 2`"
    )
    parser.add_argument(
        "--tempo",
        metavar="BPM",
        type=number("a tempo", *BPM),
        help="beats a minute at the start (default: the chart's)",
    )
    parser.add_argument(
        "--hands",
        choices=("left", "right", "both"),
        default="both",
        help="the hand to be heard (default: both)",
    )
    parser.add_argument(
        "--times",
        metavar="N",
        type=whole("a number of times", TIMES),
        default=1,
        help="how often, one after another (1)",
    )
    parser.add_argument("--click", action="store_true", help="a click on every beat throughout")
    parser.add_argument(
        "-o", "--output", metavar="FILE", required=True, help="the MIDI file to write (.mid)"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    """Raises `ChartError`, `FileError`, and `UsageError` for a passage that is not there."""
    check_not_input(options.output, [options.chart])
    text = read_chart_text(options.chart)
    from evaluator.chart import read_chart
    from evaluator.chart.fit import MOST_BARS
    from evaluator.chart.graph import HANDS
    from evaluator.excerpt.passage import passage
    from evaluator.practise.guide import Playing, guide
    from evaluator.report.places import amount

    graph = read_chart(text, file=shown(options.chart))
    bars = passage(graph, bars=options.bars, section=options.section)
    hands = HANDS if options.hands == "both" else (options.hands,)
    if len(bars) * options.times > MOST_BARS:
        raise UsageError(
            f"The guide would be {len(bars) * options.times} bars long, more than the {MOST_BARS} "
            "that are written: give a shorter passage, or fewer --times."
        )
    playing = Playing(options.tempo, hands, options.times, options.click)
    write_bytes(options.output, guide(graph, bars, playing))
    if sys.stdout is not None:
        from evaluator.show.page import sheet_for

        sheet = sheet_for(sys.stdout)
        times = f", {amount(options.times, 'time')}" if options.times > 1 else ""
        told = f"{graph.title}: {amount(len(bars), 'bar')}{times}, in {shown(options.output)}."
        print(sheet.text(told))
    return 0
