"""Which rubric does a name on the command line mean, and which roster?

A rubric is one of those that come with the program, by its name, or a file.
"""

import os
from typing import TYPE_CHECKING

from evaluator.cli.files import read_text, shown
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.batch.students import Roster
    from evaluator.judge.rubric import Rubric


def load_rubric(name: str | None) -> "Rubric":
    """The rubric of this name or file; `steady` if none is named.

    Raises `UsageError` for a name that is none, `RubricError` for a file with mistakes.
    """
    if name is None:
        from evaluator.judge.rubric import STEADY

        return STEADY
    from evaluator.judge.rubric_text import BUILT_IN, built_in_rubric, plain_name, read_rubric

    a_file = os.path.exists(name) or os.path.dirname(name) or name.endswith(".toml")
    if a_file and plain_name(name) not in BUILT_IN:
        return read_rubric(read_text(name, "rubric"), file=shown(name))
    try:
        return built_in_rubric(shown(name))
    except UsageError as error:
        raise UsageError(f"{error} A file of your own is given with its path.") from None


def load_roster(path: str | None) -> "Roster":
    """The rows of a roster file. Raises `FileError`, `RosterError`."""
    if path is None:
        return ()
    from evaluator.batch.students import read_roster

    return read_roster(read_text(path, "roster"), file=shown(path))
