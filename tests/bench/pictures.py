"""Pictures of real reports for the README.

    python -m tests.bench.pictures

Runs the command in a terminal of its own (a pseudo-terminal, so on Linux or macOS), takes
what it wrote with its colours, and draws some of the lines as SVG with rich, into `docs/`.
The pictures name no font or other file that would have to be fetched.
"""

import os
import pty
import re
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Final

from rich._export_format import CONSOLE_SVG_FORMAT
from rich.console import Console
from rich.terminal_theme import TerminalTheme
from rich.text import Text

ROOT: Final = Path(__file__).resolve().parents[2]
COLUMNS: Final = 84
PAPER: Final = TerminalTheme(
    (253, 252, 248),
    (40, 42, 46),
    [
        *((40, 42, 46), (178, 34, 34), (34, 120, 60), (166, 106, 0)),
        *((38, 85, 160), (140, 50, 130), (0, 112, 122), (120, 120, 120)),
    ],
)
"""Dark ink on warm paper; every colour keeps a contrast of 4.5 to 1 or more."""
FETCHED: Final = re.compile(r"\s*@font-face \{\{.*?\}\}|<!--.*?-->\s*", re.S)
"""Fonts from elsewhere, and where the drawing library comes from."""
WITH_OWN_FONTS: Final = FETCHED.sub("", CONSOLE_SVG_FORMAT).replace(
    "Fira Code, monospace", "ui-monospace, Menlo, Consolas, DejaVu Sans Mono, monospace"
)


@dataclass(frozen=True, slots=True)
class Picture:
    """Some lines of what a command writes: from the first that has `begin` to before `end`."""

    name: str
    words: tuple[str, ...]
    begin: str
    end: str


PICTURES: Final = (
    Picture("demo", ("demo",), "Kettle Lane (", "[Verse 2]"),
    Picture(
        "short-tail",
        ("grade", "charts/kettle_lane.txt", "recordings/kettle_lane-short-tail.mid"),
        "Kettle Lane (",
        "The song, bar by bar",
    ),
)


def main() -> None:
    """Draw every picture anew."""
    (ROOT / "docs").mkdir(exist_ok=True)
    for picture in PICTURES:
        lines = written(picture.words).splitlines()
        first = next(at for at, line in enumerate(lines) if picture.begin in line)
        last = next(at for at, line in enumerate(lines) if at > first and picture.end in line)
        title = f"evaluator {' '.join(picture.words)}"
        target = ROOT / "docs" / f"{picture.name}.svg"
        target.write_text(drawn("\n".join(lines[first:last]).rstrip(), title), encoding="utf-8")
        print(target.relative_to(ROOT))


def written(words: Sequence[str]) -> str:
    """What the command writes into a terminal, escape codes and all."""
    child, terminal = pty.fork()
    if not child:
        os.chdir(ROOT)
        environment = {"TERM": "xterm-256color", "COLUMNS": str(COLUMNS), "LC_ALL": "C.UTF-8"}
        environment["EVALUATOR_HISTORY"] = tempfile.mkdtemp()
        command = [sys.executable, "-m", "evaluator", *words]
        os.execve(sys.executable, command, {"PATH": os.environ.get("PATH", "")} | environment)
    received = b""
    while True:
        try:
            piece = os.read(terminal, 65536)
        except OSError:  # how Linux says that the other side has hung up
            break
        if not piece:
            break
        received += piece
    os.close(terminal)
    os.waitpid(child, 0)
    # A person's clone lies elsewhere.
    return received.decode("utf-8").replace(f"{ROOT}/", "")


def drawn(text: str, title: str, *, columns: int = COLUMNS) -> str:
    """The lines as SVG."""
    console = Console(width=columns, record=True, file=StringIO(), force_terminal=True)
    console.print(Text.from_ansi(text), soft_wrap=True)
    picture = console.export_svg(title=title, theme=PAPER, code_format=WITH_OWN_FONTS)
    return "\n".join(line.rstrip() for line in picture.splitlines()) + "\n"


if __name__ == "__main__":
    main()
