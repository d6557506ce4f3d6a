"""`evaluator grade CHART TAKE_OR_FOLDER...`: how were these takes played?

One take gets its report (`evaluator.cli.grade_one`); several, or a folder, are a class: a
table of everybody's marks and what to teach again, with the single reports on demand
(`evaluator.cli.grade_class`).
"""

import os
from collections.abc import Sequence

from evaluator.cli.files import are_swapped, read_chart_text, shown
from evaluator.cli.grade_words import ChartFile, Wanted, parser, understood
from evaluator.errors import UsageError

__all__ = ["grade_files", "parser", "run"]


def run(words: Sequence[str]) -> int:
    """Grade, print and write; 1 if a take could not be read or a file not written."""
    return grade_files(*understood(words))


def grade_files(chart: str, paths: Sequence[str], wanted: Wanted) -> int:
    """The same with the options read."""
    if are_swapped(chart, paths[0]):
        raise UsageError(
            f"{shown(chart)} is a MIDI file and {shown(paths[0])} is text: "
            "the chart comes first, then the takes."
        )
    text = read_chart_text(chart)
    if len(paths) == 1 and not os.path.isdir(paths[0]):
        from evaluator.cli.grade_one import grade_one

        return grade_one(ChartFile(chart, text), paths[0], wanted)
    from evaluator.cli.grade_class import grade_class_of

    return grade_class_of(ChartFile(chart, text), paths, wanted)
