"""May an output go where it was asked for?

Nothing that is read is ever written over, nor is a chart, nor two outputs in one place,
whatever names they go by.
"""

import os
from collections.abc import Iterable
from typing import Final

from evaluator.cli.files import FileError, shown
from evaluator.errors import UsageError

STANDARD_OUTPUT: Final = "-"


def check_documents(json: str | None, csv: str | None, inputs: Iterable[str]) -> None:
    """Refuse to write both where only one can go, or either over what is read.

    Raises `UsageError`.
    """
    if json == csv == STANDARD_OUTPUT:
        raise UsageError("Only one of --json and --csv can go to the standard output.")
    check_apart(json, csv)
    for path in (json, csv):
        if path is not None and path != STANDARD_OUTPUT:
            check_not_input(path, inputs)


def check_new(path: str) -> None:
    """Refuse to write a chart over anything. Raises `FileError`."""
    if os.path.lexists(path):
        raise FileError(
            f"{shown(path)} already exists, and a chart is handwork: "
            "give another name, or move it away."
        )


def check_apart(*targets: str | None) -> None:
    """Refuse to write two things into one file. Raises `UsageError`."""
    # Several things may go into one pipe.
    files = [
        path for path in targets if path and (os.path.isfile(path) or not os.path.exists(path))
    ]
    named = [os.path.realpath(path) for path in files]
    if len(set(named)) < len(named):
        raise UsageError("Two outputs would be written to the same place. Give them two names.")


def check_no_input_among_pages(folder: str, inputs: Iterable[str]) -> None:
    """Refuse to write pages where one could stand in the place of an input. Raises `UsageError`."""
    try:
        with os.scandir(folder) as entries:
            there = [entry.path for entry in entries if entry.name.casefold().endswith(".html")]
    except (OSError, ValueError):
        return
    pages = {place for path in there if (place := _place(path)) is not None}
    for given in inputs:
        if pages and _place(given) in pages:
            raise UsageError(
                f"{shown(given)} is an input, and a page could overwrite it. "
                "Give another folder for the pages."
            )


def _place(path: str) -> tuple[int, int] | None:
    """What is the same for all names of a file."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino


def check_not_input(path: str, inputs: Iterable[str]) -> None:
    """Refuse to write over a chart or a take. Raises `UsageError`."""
    for given in inputs:
        try:
            same = os.path.samefile(path, given)
        except (OSError, ValueError):
            same = os.path.realpath(path) == os.path.realpath(given)
        if same:
            raise UsageError(
                f"{shown(path)} is an input, and would be overwritten. "
                "Give what is written another name."
            )
