"""`evaluator demo`: what does a report look like?

Grades a take that comes with the program. The chart and the recording lie in the
installed package, or beside it in a checkout.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from evaluator.cli.files import FileError, shown
from evaluator.cli.grade import grade_files
from evaluator.cli.grade_words import Wanted
from evaluator.cli.helping import Parser
from evaluator.cli.say import say

CHART: Final = "charts/kettle_lane.txt"
TAKE: Final = "recordings/kettle_lane-student.mid"

AFTERWARDS: Final = """\

The chart: {chart}
The take:  {take}
Your own:  evaluator grade CHART TAKE"""


def run(words: Sequence[str]) -> int:
    """Grade the built-in take and say where it lies."""
    options = parser().parse_args(words)
    chart, take = (str(_from_here(_built_in(name), name)) for name in (CHART, TAKE))
    status = grade_files(chart, [take], Wanted(plain=options.plain))
    say(AFTERWARDS.format(chart=shown(chart), take=shown(take)))
    return status


def _built_in(name: str) -> Path:
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "demo", package.parent):
        if (folder / name).is_file():
            return folder / name
    raise FileError(f"The file {name} that comes with the program is not there; reinstall it.")


def _from_here(path: Path, name: str) -> Path:
    """The shorter name of a file that lies below the current folder, or of its like there.

    In a checkout the same files lie in the folders of `name`.
    """
    try:
        if Path(name).read_bytes() == path.read_bytes():
            return Path(name)
    except OSError:
        pass
    try:
        return path.relative_to(Path.cwd())
    except (ValueError, OSError):
        return path


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator demo",
        description="Grade the take that comes with the program, to see what a report looks like. "
        "It says where the chart and the take are, so that you can try the other commands on them.",
        epilog="example: evaluator demo",
    )
    parser.add_argument("--plain", action="store_true", help="a line a bar in plain words")
    return parser
