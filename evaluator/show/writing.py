"""How do lines get onto a stream?

With colour through rich where a person watches and the terminal can, else as plain text
without a single escape code.
"""

import os
from collections.abc import Iterable
from typing import Final, TextIO

from evaluator.show.page import Line, Piece, Style

COLOURS: Final[dict[Style, str]] = {
    "title": "bold",
    "head": "bold",
    "faint": "dim",
    "good": "green",
    "chord": "bold red",
    "bass": "bold yellow",
    "rhythm": "bold cyan",
    "form": "bold magenta",
}


def takes_colour(stream: TextIO) -> bool:
    """Whether a person watches, the terminal knows colours, and nobody asked for none."""
    return (
        stream.isatty()
        and os.environ.get("TERM", "") not in ("dumb", "unknown")
        and not os.environ.get("NO_COLOR")
    )


def write(lines: Iterable[Line], stream: TextIO, *, colour: bool) -> None:
    """Lines to a stream, in one go."""
    if not colour:
        rows = ("".join(text for text, _ in line).rstrip() for line in lines)
        stream.write("".join(f"{row}\n" for row in rows))
        return
    from rich.console import Console
    from rich.text import Text

    pieces: list[Piece | tuple[str, str]] = []
    for line in lines:
        pieces += [(text, COLOURS.get(style, "")) for text, style in line]
        pieces.append(("\n", ""))
    console = Console(file=stream, force_terminal=True, highlight=False, markup=False, emoji=False)
    console.print(Text.assemble(*pieces), soft_wrap=True, end="")
