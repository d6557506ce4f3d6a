"""How does a page get onto a terminal, again and again?

Where a person watches and the terminal can move its cursor, rich draws the page in
place; elsewhere, and on demand, a line is written for each bar. What native libraries
say would tear the picture, so the error stream goes to a file while it stands.
"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, Generic, TextIO, TypeVar

from evaluator.show.page import Line, Sheet, sheet_for, wrapped
from evaluator.show.writing import COLOURS

if TYPE_CHECKING:
    from rich.live import Live
    from rich.text import Text

P = TypeVar("P")
"""A picture of one moment."""
News = Callable[[P, "P | None"], Iterator[str]]
"""What is new in a page since the one before, in sentences."""
Layout = Callable[[P, Sheet, int], list[Line]]
"""A page on a sheet, in so many lines at most."""

INDENT: Final = "  "
"""Before what goes on in another line."""
HIGHEST: Final = 40
"""Lines of a page; beyond them the eye gets lost."""


def can_draw(stream: TextIO) -> bool:
    """Whether a picture can stand on this stream and change."""
    return stream.isatty() and os.environ.get("TERM", "") not in ("", "dumb", "unknown")


class LineScreen(Generic[P]):
    """Tells what is new, a line each."""

    def __init__(self, stream: TextIO, news: News[P], *, wraps: bool = False) -> None:
        """`wraps`: lines are as wide as the stream, not as long as what is told."""
        self._stream, self._wraps = stream, wraps
        self._news = news
        self._sheet = sheet_for(stream)
        self._before: P | None = None

    def show(self, page: P) -> None:
        """Write the lines of what has changed."""
        for sentence in self._news(page, self._before):
            self.tell(sentence)
        self._before = page

    def tell(self, sentence: str) -> None:
        """One sentence."""
        text = self._sheet.text(sentence)
        rows = wrapped(text, self._sheet.width - len(INDENT)) if self._wraps else [text]
        self._stream.write(f"\n{INDENT}".join(rows) + "\n")
        self._stream.flush()


class LiveScreen(Generic[P]):
    """Draws pages in place."""

    def __init__(self, live: "Live", stream: TextIO, lay: Layout[P], *, colour: bool) -> None:
        self._live, self._stream, self._lay, self._colour = live, stream, lay, colour

    def show(self, page: P) -> None:
        """Draw a page over the last one, as large as the terminal is now."""
        sheet = self._sheet()
        height = min(self._live.console.size.height - 1, HIGHEST)
        self._live.update(self._text(self._lay(page, sheet, height)), refresh=True)

    def tell(self, sentence: str) -> None:
        """One sentence, above the page."""
        self._live.console.print(self._sheet().text(sentence))

    def _sheet(self) -> Sheet:
        return sheet_for(self._stream)

    def _text(self, lines: list[Line]) -> "Text":
        from rich.text import Text

        pieces = []
        for at, line in enumerate(lines):
            pieces += [("\n", "")] if at else []
            pieces += [
                (text, COLOURS.get(style, "") if self._colour else "") for text, style in line
            ]
        return Text.assemble(*pieces, no_wrap=True, overflow="crop")


@contextmanager
def live_screen(
    stream: TextIO, log: int, lay: Layout[P], *, colour: bool
) -> Iterator[LiveScreen[P]]:
    """A screen for the time of a take; `log` is the open file that gets the error stream."""
    from rich.console import Console
    from rich.live import Live

    console = Console(
        file=stream,
        force_terminal=True,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
    )
    with _errors_to(log):
        live = Live(console=console, auto_refresh=False, transient=True, redirect_stderr=False)
        with live:
            yield LiveScreen(live, stream, lay, colour=colour)


@contextmanager
def _errors_to(log: int) -> Iterator[None]:
    try:
        kept = os.dup(2)
    except OSError:  # there is no error stream
        yield
        return
    try:
        os.dup2(log, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)
