"""Was this run-through what the chart says?

    >>> from evaluator import grade
    >>> report = grade(chart_text, midi_bytes)
    >>> report.headline

`docs/python.md` shows the rest: one hand or a passage, a yardstick of one's own, what a
report holds, and what can be wrong with a chart or a take.
"""

from evaluator.errors import ChartError, EvaluatorError, RubricError, TakeError, UsageError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Literal

    from evaluator.judge.rubric import Rubric
    from evaluator.judge.rubric_text import read_rubric
    from evaluator.report.json import to_json
    from evaluator.report.model import Report

__version__ = "0.1.0"
__all__ = [
    "ChartError",
    "EvaluatorError",
    "Report",
    "Rubric",
    "RubricError",
    "TakeError",
    "UsageError",
    "__version__",
    "grade",
    "read_rubric",
    "to_json",
]

_ELSEWHERE = {
    "Report": "evaluator.report.model",
    "Rubric": "evaluator.judge.rubric",
    "read_rubric": "evaluator.judge.rubric_text",
    "to_json": "evaluator.report.json",
}
"""Where the rest lives: it is loaded when it is asked for, since numpy comes in with some of
it, and `evaluator --help` must not wait for that."""


def grade(
    chart_text: str,
    midi_bytes: bytes,
    *,
    rubric: "Rubric | str" = "steady",
    hand: "Literal['left', 'right'] | None" = None,
    bars: str | None = None,
    section: str | None = None,
) -> "Report":
    """The report on one take of one song.

    Args:
        chart_text: the chart as it is typed (not its path).
        midi_bytes: a Standard MIDI File, in any condition (its bytes, not its path).
        rubric: the yardstick: a `Rubric`, or the name of one that comes with the program:
            `first-steps`, `steady`, `concert-ready`.
        hand: the hand that alone is judged; both are if it is None.
        bars: a passage that was played round and round, such as `21-24`, counted as in the
            report.
        section: the same by the name of a section, such as `Chorus 2`.

    Raises:
        ChartError: with every mistake of the chart.
        TakeError: nothing in the file can be read as a take.
        UsageError: a rubric, hand or passage that there is not.
    """
    from evaluator.grading import grade_take, prepare
    from evaluator.judge.rubric_text import built_in_rubric

    song = prepare(chart_text, hand=hand, bars=bars, section=section)
    yardstick = built_in_rubric(rubric) if isinstance(rubric, str) else rubric
    return grade_take(song, midi_bytes, rubric=yardstick)


def __getattr__(name: str) -> object:
    """What `__all__` names and has not been loaded yet."""
    if name not in _ELSEWHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    found: object = getattr(import_module(_ELSEWHERE[name]), name)
    globals()[name] = found
    return found
