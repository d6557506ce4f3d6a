"""Can pages be written here?

Asked before anything is graded, so that nobody waits for a class and then gets nothing.
"""

import os
from importlib.util import find_spec

from evaluator.cli.files import FileError, shown
from evaluator.errors import UsageError
from evaluator.errors.system import reason


def ready_for_pages(folder: str) -> None:
    """Make the folder if it is not there. Raises `UsageError`, `FileError`."""
    from evaluator.show.pages.render import NO_JINJA

    if find_spec("jinja2") is None:
        raise UsageError(NO_JINJA)
    try:
        os.makedirs(folder, exist_ok=True)
    except (OSError, ValueError) as error:
        why = "a file has that name" if os.path.isfile(folder) else reason(error)
        raise FileError(f"The folder {shown(folder)} could not be made: {why}.") from None
