"""What may be held against a player while nothing could be heard?

Nothing. Bars that a gap in the recording touches count as not followed, and so do the two
after it: listening resumes in the middle of a bar, and the beat is sure only from the next bar
line, or the one after that. Findings of the form between the bar before the gap and four bars
after it do not count either: bars missing there may have been played, and it takes longer to
tell which of several similar bars is being played than to find the beat.
"""

from collections.abc import Sequence
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import Path, PlayedBar
from evaluator.judge.marks import marked
from evaluator.judge.verdict import FormFinding, Judgement
from evaluator.take.gaps import Gap

TOUCH = 0.01
"""Seconds; bar lines are no more exact than this."""
TAKING_UP = 2
"""Bars after a gap in which the beat is found again."""
PLACED_AGAIN = 4
"""Bars after a gap in which the place in the song is."""


def unheard(path: Path, gaps: Sequence[Gap]) -> Path:
    """The path with confidence 0 in the bars that a gap touches and the first two behind it, so
    that they are not judged."""
    bars = list(path.bars)
    for gap in gaps:
        after = [at for at, bar in enumerate(bars) if bar.start >= gap.end - TOUCH]
        touched = [at for at, bar in enumerate(bars) if _touches(bar, gap)]
        for at in (*touched, *after[:TAKING_UP]):
            bars[at] = replace(bars[at], confidence=0.0)
    return replace(path, bars=tuple(bars))


def excused(graph: BarGraph, path: Path, judgement: Judgement, gaps: Sequence[Gap]) -> Judgement:
    """The judgement without findings of the form that may be the doing of a gap in the
    recording."""
    form = excused_form(judgement.form, path, gaps)
    if form == judgement.form:
        return judgement
    return marked(graph, path, replace(judgement, form=form))


def excused_form(
    form: Sequence[FormFinding], path: Path, gaps: Sequence[Gap]
) -> tuple[FormFinding, ...]:
    """The findings that cannot be the doing of a gap in the recording."""
    return tuple(
        finding for finding in form if not any(_within(finding, path, gap) for gap in gaps)
    )


def _touches(bar: PlayedBar, gap: Gap) -> bool:
    return bar.start < gap.end - TOUCH and bar.end > gap.start + TOUCH


def _within(finding: FormFinding, path: Path, gap: Gap) -> bool:
    """Whether a finding lies between the bar before a gap and the line after it."""
    before = [bar.start for bar in path.bars if bar.start <= gap.start]
    after = [bar.start for bar in path.bars if bar.start >= gap.end - TOUCH]
    first = before[-1] if before else 0.0
    last = after[PLACED_AGAIN - 1] if len(after) >= PLACED_AGAIN else float("inf")
    return first - TOUCH <= finding.at <= last + TOUCH
