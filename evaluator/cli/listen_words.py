"""What is asked of `evaluator listen`, and is it possible?"""

import argparse
from typing import Final

from evaluator.cli.files import shown
from evaluator.cli.helping import Parser, channel, number, whole

EXAMPLE: Final = """\
examples:
  evaluator listen charts/kettle_lane.txt
  evaluator listen charts/kettle_lane.txt --count-in 1 --tempo 72 --click
  evaluator listen charts/kettle_lane.txt --replay recordings/kettle_lane-student.mid --speed 4

Enter or Ctrl-C ends a take; it ends by itself after the song's last bar and a rest.
"""
FOLDER: Final = "recordings"
BARS: Final = range(9)
TEMPI: Final = (20.0, 400.0)
SPEEDS: Final = (0.1, 100.0)


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator listen",
        description=(
            "Listen to a song at the piano, show the bar being played and the "
            "marks of those before it, and give the report at the end."
        ),
        epilog=EXAMPLE,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument(
        "--port", metavar="NAME", type=shown, help="the piano's port, or a part of its name"
    )
    parser.add_argument(
        "--channel",
        metavar="N",
        type=channel,
        help="listen to this MIDI channel alone, 1 to 16 (leaves out an accompaniment)",
    )
    parser.add_argument(
        "--count-in",
        metavar="BARS",
        type=whole("a number of bars to count in", BARS),
        default=0,
        help="bars to count in, started by any note, on screen and through the piano",
    )
    parser.add_argument(
        "--tempo",
        metavar="BPM",
        type=number("a tempo", *TEMPI),
        help="of count-in and click, instead of the chart's",
    )
    parser.add_argument(
        "--click", action="store_true", help="keep clicking through the piano during the song"
    )
    parser.add_argument(
        "--save", metavar="DIR", default=FOLDER, help=f"where takes are kept (default: {FOLDER})"
    )
    parser.add_argument("--plain", action="store_true", help="one line per bar, in plain words")
    parser.add_argument("--student", metavar="NAME", type=shown, help="who plays, for the history")
    parser.add_argument("--no-history", action="store_true", help="keep nothing in the history")
    parser.add_argument(
        "--replay", metavar="TAKE", help="listen to a recorded take instead of a piano"
    )
    parser.add_argument(
        "--speed",
        metavar="N",
        type=number("a speed", *SPEEDS),
        help="replay this many times as fast",
    )
    return parser
