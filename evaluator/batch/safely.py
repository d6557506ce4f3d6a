"""What becomes of a piece of work when something is wrong with it?

An answer, or a sentence that says why there is none: what a person gave us wrongly says so
itself; anything else is a fault of ours, and is told as one.
"""

from collections.abc import Callable
from typing import Final, ParamSpec, TypeVar

from evaluator.errors import EvaluatorError
from evaluator.errors.fault import told

Given = ParamSpec("Given")
Answer = TypeVar("Answer")

FAILED: Final = "The program failed on this file ({what}); please report it."


def safely(
    work: Callable[Given, Answer], *words: Given.args, **options: Given.kwargs
) -> tuple[Answer | None, str]:
    """What the work gives and nothing, or None and the sentence; never raises."""
    try:
        return work(*words, **options), ""
    except EvaluatorError as error:
        return None, str(error)
    except Exception as error:  # noqa: BLE001 the outermost edge: a fault of ours in one file
        return None, FAILED.format(what=told(error))
