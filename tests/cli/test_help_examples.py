"""Does every example in the help do what it says, in a fresh checkout?

The examples are run in the order of a teacher's day, each as it stands, in one copy of
what a checkout holds, but for most of the class; a shell takes them apart. Those that stand in
the README as well are run there (`tests/end_to_end/test_pages_commands.py`).
"""

import io
import os
import re
import shlex
import shutil
import sys
from collections.abc import Iterator
from contextlib import redirect_stdout
from importlib import import_module
from pathlib import Path
from unittest import mock

import pytest

from evaluator.cli.main import COMMANDS, main
from tests.cli.fresh import ROOT, fresh_checkout, needs_a_piano, run_line

needs_bash = pytest.mark.skipif(
    shutil.which("bash") is None or sys.platform == "win32", reason="runs the lines in a bash"
)
CHART_COMMANDS = ("draft", "check", "show", "export", "import", "guide")
EVERY = [
    [],
    *([name] for name in COMMANDS),
    *(["chart", name] for name in CHART_COMMANDS),
]


def helped(words: list[str], columns: int = 200) -> str:
    """The help on a command, as it is printed in a terminal of that width."""
    printed = io.StringIO()
    with redirect_stdout(printed), mock.patch.dict(os.environ, {"COLUMNS": str(columns)}):
        assert main([*words, "--help"]) == 0
    return printed.getvalue()


def examples(words: list[str]) -> list[str]:
    """What stands behind `example:`, or in the rows behind `examples:`."""
    _, _, after = helped(words).partition("example")
    return re.findall(r"^(?:s:\n)?(?::| ) *(evaluator .+)$", after.replace("s:\n", "", 1), re.M)


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return fresh_checkout(tmp_path_factory.mktemp("fresh") / "checkout", few=True)


def all_examples() -> Iterator[str]:
    for words in EVERY:
        yield from examples(words)


EXAMPLES = list(all_examples())


@pytest.mark.parametrize("words", EVERY, ids=" ".join)
def test_every_command_says_what_it_is_for_and_gives_an_example(words: list[str]) -> None:
    text = helped(words)
    purpose = text.split("\n\n")[1]
    assert purpose.rstrip().endswith(".")
    assert len(purpose.split()) >= 8
    assert all(one.startswith(" ".join(["evaluator", *words])) for one in examples(words))
    assert examples(words)


@pytest.mark.parametrize("words", EVERY, ids=" ".join)
def test_in_a_narrow_terminal_only_lines_to_be_copied_are_wide(words: list[str]) -> None:
    wide = [line for line in helped(words, columns=60).splitlines() if len(line) > 60]
    assert all(line.removeprefix("example:").strip() in EXAMPLES for line in wide)


README = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
ONLY_HERE = [one for one in dict.fromkeys(EXAMPLES) if one not in README]


@needs_bash
@pytest.mark.parametrize("example", [one for one in ONLY_HERE if not needs_a_piano(one)])
def test_the_example_works(example: str, checkout: Path) -> None:
    done = run_line(example, checkout)
    target = re.search(r"(?:-o|>) (\S+)", example)
    if target:
        assert (checkout / target[1]).stat().st_size > 0
    else:
        assert done.stdout or done.stderr


@pytest.mark.parametrize("example", [one for one in EXAMPLES if needs_a_piano(one)])
def test_what_needs_a_piano_is_understood(example: str) -> None:
    _, command, *words = shlex.split(example)
    parser = import_module(COMMANDS[command][0]).parser
    assert parser().parse_args(words).chart == "charts/kettle_lane.txt"
