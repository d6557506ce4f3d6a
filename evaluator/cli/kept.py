"""How does one graded take come into the history?"""

from time import time
from typing import TYPE_CHECKING

from evaluator.cli.say import say_error

if TYPE_CHECKING:
    from evaluator.report.model import Report


def keep(
    report: "Report", chart: str, raw: bytes, *, student: str, played_at: float | None = None
) -> None:
    """Keep a report that was told, whatever the disk does, and say it where that fails.

    `chart` and `raw` are the chart's text and the take's file; `played_at` is seconds since 1970,
    just now if it is not given.
    """
    from evaluator.history import remember
    from evaluator.history.entry import Content, entry_of

    now = time()
    entry = entry_of(
        report,
        Content(chart, raw),
        student=student,
        played_at=now if played_at is None else played_at,
        graded_at=now,
    )
    trouble = remember([entry])
    if trouble:
        say_error(trouble)
