"""Which command was asked for, and how does the program end?

Each command is a small module with `run(words) -> int`; it is imported only when it is
asked for, so that help comes at once; `typing` would double what help has to load. Exit
status: 0 done, 1 something could not be read (what could be is still graded), 2 wrong
usage. Nothing ends in a traceback unless the program itself is at fault.
"""

import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module

from evaluator.cli.say import say_error
from evaluator.errors import EvaluatorError, TextError, UsageError

DONE = 0
UNREADABLE = 1
WRONG_USAGE = 2
STOPPED = 130
"""128 and the number of the interrupt signal, as shells have it."""

COMMANDS = {
    "demo": ("evaluator.cli.demo", "grade the take that comes with the program"),
    "grade": ("evaluator.cli.grade", "grade takes of a song against its chart"),
    "listen": ("evaluator.cli.listen", "listen to a piano live, follow and grade"),
    "practise": ("evaluator.cli.practise", "practise at the piano what did not go well"),
    "ports": ("evaluator.cli.ports", "list the pianos that can be listened to"),
    "history": ("evaluator.cli.history", "show progress from day to day"),
    "chart": ("evaluator.cli.chart", "check, print and convert charts; make guides"),
    "completion": ("evaluator.cli.completion", "let the shell complete these commands"),
}

HELP = """\
usage: evaluator COMMAND ...

Says, bar by bar, whether a run-through on a digital piano
followed the chord chart.

commands:
{commands}

`evaluator COMMAND --help` says more about each.

example: evaluator grade charts/kettle_lane.txt recordings/kettle_lane-student.mid
"""


def main(words: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit status."""
    words = sys.argv[1:] if words is None else words
    # Numpy starts a thread for every core, for products of matrices such as there are none here:
    # a sixth of what grading a take costs the processor.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        status = _run(words)
        if sys.stdout is not None:
            sys.stdout.flush()
        return status
    except UsageError as error:
        say_error(str(error))
        return WRONG_USAGE
    except TextError as error:
        # Each mistake begins with its file and line already.
        say_error(str(error), who="")
        return UNREADABLE
    except EvaluatorError as error:
        say_error(str(error))
        return UNREADABLE
    except BrokenPipeError:
        # The reader has seen enough (`| head`); that is no fault of anybody's.
        _drop_output()
        return DONE
    except KeyboardInterrupt:
        say_error("stopped")
        return STOPPED
    except OSError as error:
        from evaluator.errors.system import reason

        say_error(f"the output could not be written: {reason(error)}")
        _drop_output()
        return UNREADABLE


def _run(words: Sequence[str]) -> int:
    if not words or words[0] in ("-h", "--help", "help"):
        print(_help(), end="")
        return DONE if words else WRONG_USAGE
    if words[0] == "--version":
        from importlib.metadata import version

        print(f"evaluator {version('midi-practice-evaluator')}")
        return DONE
    if words[0] not in COMMANDS:
        raise UsageError(_unknown(words[0]))
    run: Callable[[Sequence[str]], int] = import_module(COMMANDS[words[0]][0]).run
    try:
        return run(words[1:])
    except SystemExit as end:  # argparse ends the program itself, after help or an error
        return end.code if isinstance(end.code, int) else WRONG_USAGE


def _help() -> str:
    rows = (f"  {name:<12}{what}" for name, (_, what) in COMMANDS.items())
    return HELP.format(commands="\n".join(rows))


def _unknown(word: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(word, COMMANDS, n=1)
    hint = f"Did you mean `{near[0]}`?" if near else f"There are: {', '.join(COMMANDS)}."
    if word.startswith("-"):
        return f"There is no option `{word}` before a command; there are --help and --version."
    return f"There is no command `{word}`. {hint}"


def _drop_output() -> None:
    """Point the output nowhere, so that Python does not complain about it at exit."""
    if sys.stdout is not None:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
