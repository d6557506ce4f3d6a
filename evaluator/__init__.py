"""Was this run-through what the chart says?

    >>> from evaluator import grade
    >>> report = grade(chart_text, midi_bytes)
    >>> report.headline

Everything else that a program needs is in the report: its value types stand in
`evaluator.report.model`, its JSON form in `evaluator.report.json`, and what can be wrong
with a chart or a take in `evaluator.errors`.
"""

from evaluator.errors import EvaluatorError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from evaluator.report.model import Report

__all__ = ["EvaluatorError", "grade"]


def grade(chart_text: str, midi_bytes: bytes) -> "Report":
    """The report on one take of one song.

    `chart_text` is a chart as it is typed, `midi_bytes` a Standard MIDI File in any
    condition. Raises `ChartError` with every mistake of the chart, `TakeError` if
    nothing in the file can be read as a take.
    """
    # numpy comes in with these, and `evaluator --help` must not wait for it.
    from evaluator.grading import grade_take, prepare

    return grade_take(prepare(chart_text), midi_bytes)
