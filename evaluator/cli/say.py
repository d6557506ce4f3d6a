"""How is something told in plain sentences?

Whatever a file or a piano is called and whatever the terminal can write: signs that could
steer the terminal are taken out, and those that it does not have are written otherwise.
"""

import sys
from contextlib import suppress


def say(text: str) -> None:
    """One or more lines on the standard output, at once."""
    if sys.stdout is not None:
        print(_plain(text, sys.stdout.encoding), flush=True)


def say_error(text: str, *, who: str = "evaluator: ") -> None:
    """One message of one or more lines on the error stream, after the name of who says it.

    If that takes nothing, there is nobody to be told, and nothing else is to suffer from it.
    """
    if sys.stderr is not None:
        with suppress(OSError):
            print(_plain(f"{who}{text}", sys.stderr.encoding), file=sys.stderr, flush=True)


def _plain(text: str, encoding: str | None) -> str:
    from evaluator.show.glyphs import fitted
    from evaluator.show.sanitise import clean_lines

    return fitted(clean_lines(text), encoding or "utf-8")
