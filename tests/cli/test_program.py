"""Does the program as a person starts it do what the tests see of it in their own process?

Once for every command; the other tests save themselves the start of a process each.
"""

from pathlib import Path
from typing import Final

import pytest

from evaluator.cli.main import COMMANDS
from tests.cli.commands import evaluator, program

RUNS: Final[dict[str, tuple[tuple[str, ...], str]]] = {
    "nothing": ((), ""),
    "wrong words": (("grade", "row.txt"), ""),
    "demo": (("demo",), ""),
    "grade": (("grade", "row.txt", "monday.mid", "--json", "out.json"), "out.json"),
    "a class": (("grade", "row.txt", ".", "--csv", "out.csv"), "out.csv"),
    "listen": (("listen", "row.txt", "--replay", "monday.mid", "--speed", "nan"), ""),
    "practise": (("practise", "row.txt", "--bars", "1-2", "--replay", "monday.mid"), ""),
    "ports": (("ports", "--help"), ""),
    "history": (("history", "row.txt", "--csv", "-"), ""),
    "chart check": (("chart", "check", "row.txt"), ""),
    "chart show": (("chart", "show", "row.txt"), ""),
    "chart guide": (("chart", "guide", "row.txt", "-o", "out.mid"), "out.mid"),
    "chart draft": (("chart", "draft", "--take", "monday.mid", "-o", "out.txt"), "out.txt"),
    "chart export": (("chart", "export", "row.txt", "-o", "out.musicxml"), ""),
    "completion": (("completion", "bash"), ""),
}
"""What is asked for, and a file that it writes, which is to be the same as well. (A score has
the day in it on which it was written.)"""


def test_every_command_is_among_them() -> None:
    assert {words[0] for words, _ in RUNS.values() if words} == set(COMMANDS)


@pytest.mark.parametrize(("words", "file"), RUNS.values(), ids=RUNS.keys())
def test_a_process_of_its_own_says_and_writes_the_same(
    folder: Path, words: tuple[str, ...], file: str
) -> None:
    seen = []
    for run in (program, evaluator):
        done = run(folder, *words)
        written = (folder / file).read_bytes() if file else b""
        seen.append((done.returncode, done.stdout, done.stderr, written))
        if file:
            (folder / file).unlink()
    assert seen[0] == seen[1]
    assert any(seen[0][1:]) or words[-1] == "out.musicxml"
