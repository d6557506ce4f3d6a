"""What is asked of `evaluator practise`, and is it possible?"""

import argparse
from typing import Final

from evaluator.cli.files import shown
from evaluator.cli.helping import Parser, number
from evaluator.cli.listen_words import FOLDER

EXAMPLE: Final = """\
examples:
  evaluator practise charts/kettle_lane.txt
  evaluator practise charts/kettle_lane.txt --bars 5-6 --minutes 10
  evaluator practise charts/kettle_lane.txt --section "Chorus 1" --hand right --with left

Without --bars or --section it takes what the last takes of this student say. Enter or Ctrl-C
ends the lesson. Rest when it says so, and stop at once where something hurts: tell your teacher,
and if it does not go away, see a doctor.
"""
MINUTES: Final = (0.5, 60.0)
USUAL_MINUTES: Final = 20.0
PARTS: Final = ("left", "right", "chords", "click", "nothing")


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator practise",
        description="Practise at the piano what did not go well: a passage round and round, each "
        "time through judged as it ends, from slow to the chart's tempo.",
        epilog=EXAMPLE,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument("--bars", metavar="A-B", help="these bars, as the report counts them")
    parser.add_argument(
        "--section", metavar="NAME", type=shown, help="this section, such as `Chorus 2`"
    )
    parser.add_argument(
        "--hand", choices=("left", "right"), help="the hand that alone is practised and judged"
    )
    parser.add_argument(
        "--with",
        dest="parts",
        choices=PARTS,
        metavar="PART",
        action="append",
        help="what the piano plays along: left, right, chords, click (the usual) or nothing; may "
        "be said twice. With a click you follow it; without one the piano follows you",
    )
    parser.add_argument(
        "--minutes",
        metavar="N",
        type=number("a time in minutes", *MINUTES),
        default=USUAL_MINUTES,
        help=f"how long, at most (default: {USUAL_MINUTES:g})",
    )
    parser.add_argument(
        "--port", metavar="NAME", type=shown, help="the piano's port, or a part of its name"
    )
    parser.add_argument(
        "--save", metavar="DIR", default=FOLDER, help=f"where takes are kept (default: {FOLDER})"
    )
    parser.add_argument(
        "--plain", action="store_true", help="one line for each thing, in plain words"
    )
    parser.add_argument("--student", metavar="NAME", type=shown, help="who plays, for the history")
    parser.add_argument("--no-history", action="store_true", help="keep nothing in the history")
    parser.add_argument(
        "--replay", metavar="TAKE", help="take a recorded take as the lesson, without a piano"
    )
    return parser
