"""`evaluator history [CHART]`: is it getting better?

Shows what was kept of the takes graded so far, by song, student and day; writes it as JSON
or for a spreadsheet; and forgets it when it is told to.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

from evaluator.cli.files import read_chart_text, shown
from evaluator.cli.helping import Parser
from evaluator.cli.put import Outlet, outlet
from evaluator.cli.say import say, say_error
from evaluator.cli.targets import STANDARD_OUTPUT, check_documents
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.history.entry import Entry
    from evaluator.history.reading import Reading

EXAMPLE: Final = """\
examples:
  evaluator history
  evaluator history charts/kettle_lane.txt --student "Anna Appleby"
  evaluator history --csv takes.csv
  evaluator history --student "Anna Appleby" --forget

The history is kept in your data folder, or in the folder that EVALUATOR_HISTORY names.
"""


def run(words: Sequence[str]) -> int:
    """Raises `FileError`, `HistoryError`, `UsageError`."""
    options = parser().parse_args(words)
    text = None if options.chart is None else read_chart_text(options.chart)
    if options.all and not options.forget:
        raise UsageError("--all goes with --forget.")
    from evaluator.history.entry import hash_of
    from evaluator.history.place import history_file
    from evaluator.history.reading import read

    chart = None if text is None else hash_of(text.encode("utf-8"))
    file = history_file()
    check_documents(options.json, options.csv, [str(file), *filter(None, [options.chart])])
    if options.forget:
        return _forget(options, file, chart)
    reading = read(file, chart=chart, student=options.student)
    other: Sequence[Entry] = ()
    if text is not None:
        other = _other_editions(text, read(file, student=options.student).entries)
    _tell_of_damage(reading)
    with outlet() as out:
        _write(options, reading, out)
        if STANDARD_OUTPUT not in (options.json, options.csv):
            out.tell(lambda stream: _show(reading, other, file, stream))
    return 0


def _forget(options: argparse.Namespace, file: Path, chart: str | None) -> int:
    from evaluator.history.aside import delete_asides
    from evaluator.history.store import Forgotten, opened
    from evaluator.report.places import amount

    chosen = chart is not None or options.student is not None
    if chosen == options.all:
        raise UsageError("Say what to forget: a CHART, a --student, both, or --all by itself.")
    if file.exists():
        with opened(file) as history:
            gone = history.forget(chart=chart, student=options.student)
    else:
        gone = Forgotten(0, delete_asides(file))
    practised = f" and {amount(gone.rounds, 'round')} of practising" if gone.rounds else ""
    say(f"{amount(gone.takes, 'take').capitalize()}{practised} forgotten.")
    if gone.asides:
        say(
            f"Deleted, too: {amount(gone.asides, 'file')} of a history that was damaged and had "
            "been put aside; nobody can tell any more whose takes were in it."
        )
    return 0


def _tell_of_damage(reading: "Reading") -> None:
    from evaluator.report.places import amount

    if reading.odd:
        say_error(
            f"{amount(reading.odd, 'take').capitalize()} could not be read and had to be skipped."
        )
    if reading.damaged:
        say_error("A part of the history is damaged; what can be read is here.")


def _other_editions(text: str, kept: Sequence["Entry"]) -> Sequence["Entry"]:
    """Takes of charts with the same title and another text."""
    from evaluator.chart import read_chart
    from evaluator.history.entry import hash_of

    title, here = read_chart(text).title, hash_of(text.encode("utf-8"))
    return [entry for entry in kept if entry.title == title and entry.chart != here]


def _write(options: argparse.Namespace, reading: "Reading", out: Outlet) -> None:
    from evaluator.history.progress import practising, progress
    from evaluator.history.telling import to_csv, to_json

    def document() -> list[bytes]:
        found = progress(reading.entries), practising(reading.practised)
        return [to_json(*found).encode("utf-8")]

    # A spreadsheet takes a file for UTF-8 only by its mark.
    mark = "" if options.csv == STANDARD_OUTPUT else "\N{BYTE ORDER MARK}"
    out.put(
        (options.json, document),
        (options.csv, lambda: [f"{mark}{to_csv(reading.entries)}".encode()]),
    )


def _show(reading: "Reading", other: Sequence["Entry"], file: Path, stream: TextIO) -> None:
    from evaluator.history.progress import practising, progress
    from evaluator.history.telling import page
    from evaluator.report.places import amount
    from evaluator.show.page import sheet_for
    from evaluator.show.writing import takes_colour, write

    sheet = sheet_for(stream)
    if reading.entries or reading.practised:
        found = page(progress(reading.entries), sheet, practising(reading.practised))
        write(found, stream, colour=takes_colour(stream))
    else:
        print(sheet.text(f"No takes are kept for this in {shown(str(file))}."), file=stream)
    if other:
        count = amount(len(other), "take")
        print(
            f"Of other editions of this chart there are {count} more: `evaluator history`.",
            file=stream,
        )


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator history",
        description="Show progress from day to day: the marks, the bars that stay wrong, the "
        "bars that are mastered. Every take that was graded is in it, on this computer only.",
        epilog=EXAMPLE,
    )
    parser.add_argument("chart", metavar="CHART", nargs="?", help="only takes of this chart")
    parser.add_argument("--student", metavar="NAME", type=shown, help="only this student's takes")
    parser.add_argument("--json", metavar="FILE", help="write it as JSON; - for stdout")
    parser.add_argument("--csv", metavar="FILE", help="write every take as a row; - for stdout")
    parser.add_argument("--forget", action="store_true", help="delete these takes from the history")
    parser.add_argument("--all", action="store_true", help="with --forget: everything")
    return parser
