"""`evaluator completion SHELL`: how does the shell complete these commands?

Prints a script for the shell, made from the parsers of all commands by the library shtab.
The shell reads it once; pressing Tab does not start the program.
"""

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from importlib import import_module
from typing import Any, Final

from evaluator.cli.helping import Parser
from evaluator.errors import UsageError

SHELLS: Final = ("bash", "zsh", "fish", "powershell")

EXAMPLE: Final = """\
examples:
  evaluator completion bash > evaluator.bash
  evaluator completion zsh > _evaluator

Put the script where the shell looks for it, as the README says for each shell.
"""

NO_SHTAB: Final = (
    "Completion needs the package shtab, which is not installed. Install it with: pip install shtab"
)

NAMES: Final = {
    "CHART": ("*.txt",),
    "TAKE": ("*.mid", "*.midi", "*.journal"),
    "SCORE": ("*.musicxml", "*.mxl", "*.xml"),
    "FILE": ("*",),
}
"""Files that an argument may be, by the word that stands for it in the help."""
FOLDER: Final = "DIR"
RUBRIC: Final = "RUBRIC"

# The library's own function takes a word with blanks in it apart. A word comes as it was
# typed: with backslashes, or with a quotation mark at its beginning.
BASH: Final = """
{name}() {{
  local typed=${{1//\\\\/}} pattern
  typed=${{typed#[\\"\\']}}
  for pattern in {patterns}; do compgen -f -X "!$pattern" -- "$typed"; done
  compgen -d -- "$typed"
}}
"""


def run(words: Sequence[str]) -> int:
    """Print the script. Raises `UsageError` where the library is missing."""
    options = parser().parse_args(words)
    try:
        import shtab
    except ImportError as error:
        raise UsageError(NO_SHTAB) from error
    whole = _whole()
    for argument in _arguments(whole):
        _describe(argument)
    if sys.stdout is not None:
        print(shtab.complete(whole, shell=options.shell))
    return 0


def parser() -> argparse.ArgumentParser:
    """What can be said after the command's name."""
    parser = Parser(
        prog="evaluator completion",
        description="Print a script by which the shell completes commands, options and files "
        "when Tab is pressed.",
        epilog=EXAMPLE,
    )
    parser.add_argument("shell", choices=SHELLS, help="the shell that is to complete")
    return parser


def _whole() -> argparse.ArgumentParser:
    """The parsers of all commands under one."""
    from evaluator.cli.main import COMMANDS

    whole = Parser(prog="evaluator")
    whole.add_argument("--version", action="store_true", help="say the version")
    commands = whole.add_subparsers(metavar="COMMAND")
    for name, (module, what) in COMMANDS.items():
        one: Parser = import_module(module).parser()
        commands.add_parser(name, help=what, parents=[one], add_help=False)
    return whole


def _arguments(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Every argument of a parser and of those below it."""
    for action in parser._actions:
        if isinstance(action.choices, dict):
            for below in action.choices.values():
                yield from _arguments(below)
        else:
            yield action


def _describe(argument: argparse.Action) -> None:
    """Add what may stand for an argument, in the words of shtab."""
    import shtab

    if argument.metavar == RUBRIC:
        from evaluator.judge.rubric_text import BUILT_IN

        argument.choices = BUILT_IN
    elif argument.metavar == FOLDER:
        # The library knows by `dir` or `glob` in a function's name that files are completed.
        _complete(argument, shtab.DIRECTORY, "dir", ())
    elif argument.metavar in NAMES:
        patterns = NAMES[str(argument.metavar)]
        name = f"glob_{str(argument.metavar).lower()}"
        _complete(argument, shtab.glob(*patterns), name, patterns)


def _complete(
    argument: argparse.Action, shells: Mapping[str, Any], name: str, patterns: Sequence[str]
) -> None:
    """The library's completion in every shell but bash, which gets a function of ours."""
    function = f"_evaluator_{name}"
    script = BASH.format(name=function, patterns=" ".join(f"'{one}'" for one in patterns))
    preamble = shells.get("preamble", {}) | {"bash": script}
    argument.complete = {  # type: ignore[attr-defined]
        **shells,
        "bash": function,
        "preamble": preamble,
    }
