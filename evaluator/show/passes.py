"""How did it go from one time through to the next?

One row each time with a bar drawn for its mark, then what the times say together: whether
it got better, what is right by now, and what is still wrong at the end.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.report.model import Pass, Report
from evaluator.report.places import amount, bar_numbers
from evaluator.show.page import Line, Sheet, paragraph

PICTURE: Final = 20
"""Cells for a mark of 100."""
CLEARLY: Final = 3.0
"""Marks by which the last time must differ from the first to be better or worse."""


def passes(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The table and the comparison."""
    yield (("Time by time", "head"),)
    for one in report.passes:
        drawn = "#" * round(one.marks.overall / 100 * PICTURE)
        first = f"  {one.number:>3}  {one.marks.overall:>3.0f}  {drawn:<{PICTURE}}  "
        yield from paragraph(sheet.text(pass_told(one, marks=False)), sheet.width, first=first)
    yield from paragraph(sheet.text(compared(report.passes)), sheet.width, first="  ")


def pass_told(one: Pass, *, marks: bool = True) -> str:
    """`82 of 100, at 71 beats a minute; bars 21 and 22 wrong`."""
    parts = [f"{one.marks.overall:.0f} of 100, at {one.bpm:.0f} beats a minute"]
    if not marks:
        parts = [f"at {one.bpm:.0f} beats a minute"]
    parts.append(f"{bar_numbers(one.wrong)} wrong" if one.wrong else "nothing wrong")
    if not one.complete:
        parts.append("stopped early")
    return "; ".join(parts)


def compared(played: Sequence[Pass]) -> str:
    """What all the times say together."""
    first, last = played[0], played[-1]
    if len(played) == 1:
        return "Played once through; play it several times in one take to see progress."
    gain = last.marks.overall - first.marks.overall
    course = "about the same from first to last"
    if abs(gain) >= CLEARLY:
        course = f"{'better' if gain > 0 else 'worse'} by {abs(gain):.0f} from first to last"
    told = [f"{amount(len(played), 'time').capitalize()} through, {course}"]
    learnt = set().union(*(one.wrong for one in played)) - set(last.wrong)
    if learnt:
        told.append(f"right the last time: {bar_numbers(learnt)}")
    stays = set(last.wrong).intersection(*(one.wrong for one in played))
    if stays:
        told.append(f"wrong every time: {bar_numbers(stays)}")
    return f"{'; '.join(told)}."
