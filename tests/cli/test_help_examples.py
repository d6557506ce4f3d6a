"""Does every example in the help do what it says, in a fresh checkout?

The examples are run in the order of a teacher's day, each as it stands, in one copy of
what a checkout holds; a shell takes them apart.
"""

import argparse
import io
import os
import re
import shlex
import shutil
from collections.abc import Iterator
from contextlib import redirect_stdout
from importlib.util import find_spec
from pathlib import Path
from unittest import mock

import pytest

from evaluator.cli.main import COMMANDS, main
from tests.cli.commands import evaluator

ROOT = Path(__file__).resolve().parents[2]
CHART_COMMANDS = ("check", "show", "export", "import", "guide")
EVERY = [
    [],
    *([name] for name in COMMANDS),
    *(["chart", name] for name in CHART_COMMANDS),
]


def helped(words: list[str]) -> str:
    """The help on a command, as it is printed, in a wide terminal."""
    printed = io.StringIO()
    with redirect_stdout(printed), mock.patch.dict(os.environ, {"COLUMNS": "200"}):
        assert main([*words, "--help"]) == 0
    return printed.getvalue()


def examples(words: list[str]) -> list[str]:
    """What stands behind `example:`, or in the rows behind `examples:`."""
    _, _, after = helped(words).partition("example")
    return re.findall(r"^(?:s:\n)?(?::| ) *(evaluator .+)$", after.replace("s:\n", "", 1), re.M)


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fresh") / "checkout"
    for name in ("charts", "recordings"):
        shutil.copytree(ROOT / name, folder / name)
    return folder


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


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_example_works(example: str, checkout: Path) -> None:
    line, _, target = example.partition(" > ")
    _, *words = shlex.split(line)
    if words[0] == "listen" and "--replay" not in words:
        return  # for a piano; that it is understood stands in test_the_words_are_understood
    if "--replay" in words:
        words = [*words[: words.index("--speed")], "--speed", "100"]
    done = evaluator(checkout, *words)
    if words[0] == "ports" and find_spec("rtmidi") is None:
        assert "midi-practice-evaluator[live]" in done.stderr
        return
    assert done.returncode == 0, done.stderr
    if "-o" in words:
        assert (checkout / words[words.index("-o") + 1]).stat().st_size > 0
    else:
        assert done.stdout
    if target:
        (checkout / target).write_text(done.stdout, encoding="utf-8")


@pytest.mark.parametrize("example", [one for one in EXAMPLES if one.startswith("evaluator listen")])
def test_the_words_are_understood(example: str) -> None:
    from evaluator.cli.listen import parser

    _, _, *words = shlex.split(example)
    assert isinstance(parser().parse_args(words), argparse.Namespace)
