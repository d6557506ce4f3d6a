"""Which rubric does a name on the command line mean, and which roster?

A rubric is one of those that come with the program, by its name, or a file.
"""

import os
from typing import TYPE_CHECKING, Final

from evaluator.cli.files import read_text, shown
from evaluator.errors import UsageError

if TYPE_CHECKING:
    from evaluator.batch.students import Roster
    from evaluator.judge.rubric import Rubric

BUILT_IN: Final = ("first-steps", "steady", "concert-ready")
"""In the order of learning."""


def load_rubric(name: str | None) -> "Rubric":
    """The rubric of this name or file; `steady` if none is named.

    Raises `UsageError` for a name that is none, `RubricError` for a file with mistakes.
    """
    if name is None:
        from evaluator.judge.rubric import STEADY

        return STEADY
    from evaluator.judge.rubric_text import read_rubric

    plain = name.casefold().replace(" ", "-")
    if plain in BUILT_IN:
        from importlib.resources import files

        inside = files("evaluator.judge").joinpath("rubrics", f"{plain}.toml")
        return read_rubric(inside.read_text(encoding="utf-8"), file=inside.name)
    if os.path.exists(name) or os.path.dirname(name) or name.endswith(".toml"):
        return read_rubric(read_text(name, "rubric"), file=shown(name))
    raise UsageError(_unknown(name, plain))


def load_roster(path: str | None) -> "Roster":
    """The rows of a roster file. Raises `FileError`, `RosterError`."""
    if path is None:
        return ()
    from evaluator.batch.students import read_roster

    return read_roster(read_text(path, "roster"), file=shown(path))


def _unknown(name: str, plain: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(plain, BUILT_IN, n=1)
    hint = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(BUILT_IN)}."
    return f"There is no rubric {shown(name)}. {hint} A file of your own is given with its path."
