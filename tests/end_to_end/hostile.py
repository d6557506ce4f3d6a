"""Texts that a stranger could send, and a lesson in which everything is called so.

Each text would do something in one of the places where texts end up: steer a terminal,
run in a page, be a formula of a spreadsheet, be a template, a format or the markup of the
library that draws. `END` stands behind each, so that a test sees that it came through.
"""

import os
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from evaluator.chart import read_chart
from tests.cli.commands import evaluator
from tests.playing import Missed, WrongBass, WrongChord, play, to_midi
from tests.take.build import chunk, end, meta

END: Final = "Zeugin"

TEXTS: Final = {
    "a harmless text": "Anna",
    "sequences that clear the screen and name the window": "\x1b[2J\x1b]0;gone\x07\x1b[8m",
    "the same in single characters": "\x9b2J\x9d0;gone\x9c",
    "a return to the beginning of the line": "right\rwrong\x08\x08",
    "a line that is turned round": "\u202edim.\u2067\u200b\u00ad",
    "a formula of a spreadsheet": "=HYPERLINK(1+1)&cmd!A0",
    "a formula behind what nobody sees": "\u200b\t@SUM(1+1)*cmd",
    "a script": "<script>alert(1)<script>",
    "an attribute": "\" onmouseover='alert(1)' x=\"",
    "an entity and a comment": "&lt;b&gt;<!-- --!>",
    "markup of rich": "[bold red]x[-] :smile: [link=http]y",
    "a template and formats": "{{ 7*7 }}{% raw %}%s%n{0}${HOME}`id`",
    "accents in a pile": "e" + "\u0301" * 40,
}
"""None holds a bracket or a slash where a chart or a file name takes none."""

CHART: Final = """\
title: {text}
by: {text}
tempo: 96
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

[{section}]
| D | A | Bm7 | G |
  la {text}
| D | A | G | A |
  la {text}
| D | x2-3
[Solo] optional
| G | A |
"""

RUBRIC: Final = """\
name = {text}
about = {text}
pass_mark = 65
"""


@dataclass(frozen=True, slots=True)
class Said:
    """What a command left behind."""

    status: int
    out: str
    err: str


def lesson(folder: Path, text: str) -> None:
    """A chart, two takes, a roster and a rubric in a folder, all of them called so."""
    called = f"{text} {END}"
    heading = "".join(sign for sign in called if sign not in "[]")
    chart = CHART.format(text=called.replace("\r", " "), section=heading.replace("\r", " "))
    graph = read_chart(chart)
    faults = (WrongBass(2, "A"), WrongChord(3, "G"), Missed(5, 3.0, "right"))
    take = _with_words(to_midi(play(graph, graph.written, faults=faults)), called)
    for name, raw in (
        (f"{called}.txt", chart.encode()),
        (f"{called} 1.mid", take),
        (f"{called} 2.mid", to_midi(play(graph, graph.written))),
        (f"{called} 3.mid", b"<html>"),
        ("rubric.toml", RUBRIC.format(text=_toml(called)).encode()),
        ("roster.csv", f"pattern,name\n{_csv('*1.mid')},{_csv(called)}\n".encode()),
    ):
        (folder / name).write_bytes(raw)


def _with_words(content: bytes, text: str) -> bytes:
    """A take with a track more that holds texts of every kind."""
    count = int.from_bytes(content[10:12], "big") + 1
    words = b"".join(meta(0, kind, text.encode()) for kind in range(1, 10))
    return content[:10] + count.to_bytes(2, "big") + content[12:] + chunk(b"MTrk", words + end())


def _toml(text: str) -> str:
    return '"' + "".join(f"\\U{ord(sign):08x}" for sign in text) + '"'


def _csv(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def told(folder: Path, *words: str) -> Said:
    """What a command says when it is run in a folder, in this process."""
    done = evaluator(folder, *words, EVALUATOR_HISTORY=os.environ["EVALUATOR_HISTORY"])
    return Said(done.returncode, done.stdout, done.stderr)


def unseen(text: str) -> set[str]:
    """What of a text steers a terminal, hides or turns a line round; line ends do not."""
    kinds = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    return {sign for sign in text.replace("\n", "") if unicodedata.category(sign) in kinds}


def steering(text: str) -> set[str]:
    """What of a text in a file would steer whatever prints it, or turn a line round."""
    return {sign for sign in unseen(text) if sign not in "\u200b\u00ad"}
