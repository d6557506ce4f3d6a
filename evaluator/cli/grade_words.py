"""What is asked of `evaluator grade`, and is it possible?"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import shown
from evaluator.cli.helping import Parser, channel
from evaluator.cli.targets import STANDARD_OUTPUT, check_documents, check_no_input_among_pages

if TYPE_CHECKING:
    from evaluator.chart.graph import Hand

EXAMPLE: Final = """\
examples:
  evaluator grade charts/kettle_lane.txt recordings/kettle_lane-student.mid
  evaluator grade charts/kettle_lane.txt recordings/class --csv class.csv --html pages
  evaluator grade charts/kettle_lane.txt recordings/class --rubric first-steps
  evaluator grade charts/kettle_lane.txt recordings/kettle_lane-student.mid --hand left

A file's student is what comes before " - " in its name, or else the whole name. Of a
student's takes the best and the latest are shown; the latest is the last by file name. An
interrupted run over many takes goes on where it stopped when the same command is given
again.
"""


@dataclass(frozen=True, slots=True)
class ChartFile:
    """The chart that takes are graded against."""

    path: str
    text: str


@dataclass(frozen=True, slots=True)
class Wanted:
    """By what to grade, and what to tell and to write: the options by their names."""

    plain: bool = False
    reports: bool = False
    json: str | None = None
    csv: str | None = None
    html: str | None = None
    rubric: str | None = None
    roster: str | None = None
    jobs: int | None = None
    cluster: str | None = None
    """Address of a scheduler."""
    hand: "Hand | None" = None
    channel: int | None = None
    """From 0."""
    bars: str | None = None
    section: str | None = None
    student: str | None = None
    history: bool = False
    """Whether the takes are kept in the history."""

    @property
    def silent(self) -> bool:
        """Whether the standard output belongs to a file."""
        return STANDARD_OUTPUT in (self.json, self.csv)

    def check_targets(self, inputs: Sequence[str]) -> None:
        """Refuse to write over what is read. Raises `UsageError`."""
        check_documents(self.json, self.csv, inputs)
        if self.html is not None:
            check_no_input_among_pages(self.html, inputs)


def understood(words: Sequence[str]) -> tuple[str, list[str], Wanted]:
    """The chart, the takes and folders, and what is wanted of them. Raises `UsageError`."""
    options = parser().parse_args(words)
    wanted = Wanted(**{name: getattr(options, name) for name in Wanted.__slots__})
    given = [options.chart, *options.takes, *filter(None, (options.rubric, options.roster))]
    wanted.check_targets(given)
    return options.chart, options.takes, wanted


def _jobs(word: str) -> int:
    """A number of workers, from 1."""
    if not (word.isascii() and word.isdigit() and int(word) > 0):
        raise argparse.ArgumentTypeError(f"{word!r} is not a number of jobs; give 1, 2, 3 ...")
    return int(word)


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator grade",
        description="Grade takes of a song against its chart: chords, bass, pattern and form, "
        "bar by bar. One take gives a report; several, or a folder, give the class.",
        epilog=EXAMPLE,
    )
    parser.add_argument("chart", metavar="CHART", help="the chart, a plain text file")
    parser.add_argument(
        "takes", metavar="TAKE", nargs="+", help="MIDI files (.mid), or folders with them"
    )
    add = parser.add_argument
    add(
        "--rubric",
        metavar="RUBRIC",
        help="the yardstick: first-steps, steady (the default), concert-ready, or a file",
    )
    add("--roster", metavar="FILE", help="the students' names, a table: pattern,name")
    add("--csv", metavar="FILE", help="write a gradebook for a spreadsheet; - for stdout")
    add("--html", metavar="DIR", help="write a page for each take, and one for the class")
    add(
        "--json",
        metavar="FILE",
        help="write the reports as JSON (of a class a list); - for stdout",
    )
    add(
        "--hand",
        choices=("left", "right"),
        help="judge this hand alone (otherwise recognised)",
    )
    add(
        "--channel",
        metavar="N",
        type=channel,
        help="judge this MIDI channel alone, 1 to 16 (otherwise an accompaniment is told apart)",
    )
    add("--bars", metavar="A-B", help="the takes are of these bars, played round and round")
    add(
        "--section",
        metavar="NAME",
        type=shown,
        help="the takes are of this section, round and round",
    )
    add("--student", metavar="NAME", type=shown, help="whose takes these are, whatever their names")
    add("--no-history", dest="history", action="store_false", help="keep nothing in the history")
    add("--reports", action="store_true", help="show each report of a class, too")
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--jobs", metavar="N", type=_jobs, help="grade on this many cores (all, if it pays)"
    )
    where.add_argument(
        "--cluster", metavar="ADDRESS", help="grade a class on the workers of this Dask scheduler"
    )
    add(
        "--plain",
        action="store_true",
        help="sentences without colour or signs, as for a screen reader",
    )
    return parser
