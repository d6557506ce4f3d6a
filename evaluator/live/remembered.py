"""Which piano was it the last time?

Kept by its plain name in a small file of the user's own; if that cannot be read or
written, the question is asked again, and no harm is done.
"""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Final

from evaluator.live.names import plain

PROGRAM: Final = "midi-practice-evaluator"


def state_folder() -> Path:
    """Where programs keep what they remember, by the customs of the system."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / PROGRAM
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / PROGRAM
    state = os.environ.get("XDG_STATE_HOME", "")
    return (Path(state) if state else Path.home() / ".local" / "state") / PROGRAM


def remembered() -> str:
    """The plain name of the port used last; empty if none is known."""
    try:
        return (state_folder() / "piano").read_text(encoding="utf-8").strip()
    except (OSError, ValueError, RuntimeError):
        return ""


def remember(name: str) -> None:
    """Keep the name of a port for the next time."""
    with suppress(OSError, RuntimeError):
        folder = state_folder()
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "piano").write_text(f"{plain(name)}\n", encoding="utf-8")
