"""Where is the history kept?

In the user's own data folder by the customs of the system, never beside the charts: those
may lie in a shared or synchronised folder, where a database is not safe (SQLite, "How To
Corrupt An SQLite Database File"). `EVALUATOR_HISTORY` names another folder.
"""

import os
from pathlib import Path
from typing import Final

PROGRAM: Final = "midi-practice-evaluator"
VARIABLE: Final = "EVALUATOR_HISTORY"
FILE: Final = "history.db"


def history_file() -> Path:
    """The file of the history, whether it is there or not."""
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named) / FILE
    from platformdirs import user_data_path

    return user_data_path(PROGRAM, appauthor=False) / FILE
