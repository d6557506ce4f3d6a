"""How far has a long run come?

A bar on the error stream while a person watches it; nothing at all in a pipe, in a
terminal that cannot move its cursor, or when plain text was asked for.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Protocol


class Advance(Protocol):
    """One more is done."""

    def __call__(self) -> None: ...


@contextmanager
def progress(what: str, total: int, *, plain: bool = False) -> Iterator[Advance]:
    """A bar for `total` steps; what it gives is called after each."""
    stream = sys.stderr
    watched = stream is not None and stream.isatty()
    if plain or not watched or os.environ.get("TERM", "") in ("", "dumb", "unknown"):
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    console = Console(file=stream, markup=False, emoji=False, highlight=False)
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task(what, total=total)
        yield lambda: bar.advance(task)
