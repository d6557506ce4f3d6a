"""How is a report read aloud?

One line a bar, in the order of the take, each complete in itself: no boxes, no signs
that a screen reader would spell out, nothing that depends on where it stands. Lines are
not broken, so that each bar stays one line for an ear and for `grep`.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from evaluator.report.model import Report, ReportedBar
from evaluator.report.places import bar_numbers
from evaluator.report.reckoning import marked_words
from evaluator.report.sentences import AT_EASE, CANNOT_TELL, CAUTION
from evaluator.show.glyphs import MEANINGS
from evaluator.show.marked_song import SAID_ABOVE
from evaluator.show.page import Line, Sheet
from evaluator.show.passes import compared, pass_told

AT: Final = 0.01
"""Seconds; bar lines are no more exact than this."""


def spoken(report: Report, sheet: Sheet) -> Iterator[Line]:
    """The report as sentences."""
    for sentence in _sentences(report):
        yield ((sheet.text(sentence), ""),)


def _sentences(report: Report) -> Iterator[str]:
    file = f", take {report.take.file}" if report.take.file else ""
    yield f"{report.chart.title}{file}."
    yield report.headline
    yield from report.remarks
    if not report.matches:
        return
    marks = marked_words(report.reckoning, report.marks.overall, times="times")
    yield f"Mark: {marks}"
    for one in report.passes:
        yield f"Time {one.number}: {pass_told(one)}."
    if report.passes:
        yield compared(report.passes)
    for at, fix in enumerate(report.fix_first, start=1):
        yield f"To put right, {at}: {fix}"
    for bar in report.bars:
        yield _bar(bar, _halts(report, bar))
    for reported in report.form_told:
        yield f"Form: {reported.say}"
    if report.touch.aspects:
        for say in report.touch.said or (AT_EASE,):
            yield f"Touch: {say}"
        yield CANNOT_TELL
    for loop in report.practise:
        numbers = bar_numbers(range(loop.bars[0], loop.bars[1] + 1))
        yield (
            f"Practise {loop.section}, {numbers}, {loop.times} times in a row at {loop.bpm} "
            f"beats a minute: {loop.why}. {loop.listen}"
        )
        yield f"Guide: {loop.guide}"
    if report.practise:
        yield CAUTION


def _halts(report: Report, bar: ReportedBar) -> list[str]:
    """The halts in a bar, or before its first beat, each with its length."""
    start, end = bar.verdict.start, bar.verdict.end
    found = [one.finding for one in report.form_told if one.finding.kind == "break"]
    here = [
        one
        for one in found
        if bar.number in one.bars and one.at <= end + AT and one.at + one.halt >= start - AT
    ]
    return [f"a halt of {one.halt:.1f} seconds" for one in here]


def _bar(bar: ReportedBar, halts: Sequence[str]) -> str:
    # Which rhythm it is stands in a remark above, once for all its bars.
    says = [MEANINGS[fault.kind] if fault.kind in SAID_ABOVE else fault.say for fault in bar.faults]
    told = "; ".join(dict.fromkeys([*says, *halts])) or "right"
    return f"bar {bar.number}, {bar.section}: {told}"
