"""How was this time through, in one line, and is it worth a step of the tempo?

Judged is what `grade --bars` judges, from its report: a time through is good if it came to the
end of the passage with nothing wrong in it, at about the tempo that was asked for. What was
right but slower is not good at that tempo.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import AT_LINE
from evaluator.judge.verdict import FormFinding, FormKind
from evaluator.report.faults import NOT_WRONG
from evaluator.report.model import Pass, Report, ReportedBar
from evaluator.report.places import amount, bar_numbers

IN_TEMPO: Final = 0.9
"""Part of the tempo that was asked for below which a time through is told to be slow. A step of
the ladder is about a tenth. Common practice, no source."""
TOLD: Final = 2
"""Bars of which each is told what was wrong, and what is told of each at most."""

NUMBERS: Final = (
    *("First", "Second", "Third", "Fourth", "Fifth", "Sixth"),
    *("Seventh", "Eighth", "Ninth", "Tenth", "Eleventh", "Twelfth"),
)
SAID: Final = {
    "line": "{number} time: {told}.",
    "late line": "Time {number}: {told}.",
    "right": "all right",
    "slow": "all right, but at {bpm:.0f}, not {asked}",
    "rest": "the rest right",
    "bar": "bar {number}, {faults}",
    "more": "{bars} more",
    "left out": "{bars} left out",
    "lost": "{bars} could not be followed",
    "broken off": "broken off in bar {number}",
    "at once": "broken off",
}
FORM: Final[dict[FormKind, str]] = {
    "extra": "{bars} once too often",
    "restart": "broken off before {bars}",
    "break": "a halt in {bars}",
}
"""What is said of the findings of the form that are held against somebody; bars that are missing
are told by what is wrong with the time through."""


@dataclass(frozen=True, slots=True)
class Asked:
    """At what tempo a passage was to be played."""

    bpm: int
    """Beats a minute of its first bar."""
    written: Mapping[int, float]
    """The chart's tempo of each bar, by its number, in beats of its own meter."""
    first: int
    """Number of the first bar."""

    @property
    def share(self) -> float:
        """The tempo that was asked for as a share of the chart's: 0.5 is half as fast."""
        return self.bpm / self.written[self.first]


@dataclass(frozen=True, slots=True)
class TimeThrough:
    """One time through a passage that is over."""

    wrong: tuple[int, ...]
    """Numbers of the bars in which something was not right."""
    told: str
    """What was wrong, and where, as a phrase."""
    nothing_right: bool
    """In every bar something was wrong."""
    right: bool
    """Nothing was wrong, and it came to its end."""
    in_tempo: bool

    @property
    def good(self) -> bool:
        """Whether it counts towards the next step."""
        return self.right and self.in_tempo


def asked(passage: BarGraph, bpm: int) -> Asked:
    """The passage at a tempo of its first bar."""
    bars = [passage.bars[index] for index in passage.written]
    written = {bar.number: 60.0 / bar.seconds_per_beat for bar in bars}
    return Asked(bpm, written, bars[0].number)


BROKEN_OFF: Final = TimeThrough((), SAID["at once"], nothing_right=True, right=False, in_tempo=True)
"""What was broken off before there was anything to be judged."""


def times(report: Report, wanted: Asked, *, finished: bool = True) -> tuple[TimeThrough, ...]:
    """Every time through of a report on a passage that was played round and round.

    `finished`: whether the last one came to the passage's last strike. A report holds nothing
    against who stops in the last bar, and a time through is none for that.
    """
    last = len(report.passes)
    return tuple(
        _time(
            replace(one, complete=one.complete and (finished or one.number < last)), report, wanted
        )
        for one in report.passes
    )


def line(number: int, one: TimeThrough) -> str:
    """`Third time: bar 6, bass A instead of C#; the rest right.`"""
    if number <= len(NUMBERS):
        return SAID["line"].format(number=NUMBERS[number - 1], told=one.told)
    return SAID["late line"].format(number=number, told=one.told)


def _time(one: Pass, report: Report, wanted: Asked) -> TimeThrough:
    length = one.end - one.start - AT_LINE
    bars = [bar for bar in report.bars if -AT_LINE <= bar.verdict.start - one.start < length]
    form = [
        found.finding
        for found in report.form
        if found.finding.kind in FORM and -AT_LINE <= found.finding.at - one.start <= length
    ]
    lost = [bar.number for bar in bars if not bar.verdict.judged]
    paces = [
        bar.verdict.bpm / wanted.written[bar.number]
        for bar in bars
        if bar.verdict.judged and bar.number in wanted.written
    ]
    pace = median(paces) if paces else 0.0
    right = one.complete and not (one.wrong or form or lost)
    in_tempo = pace >= IN_TEMPO * wanted.share
    told = SAID["right"]
    if not right:
        told = "; ".join(_troubles(one, bars, form, wanted))
    elif not in_tempo:
        told = SAID["slow"].format(bpm=pace * wanted.written[wanted.first], asked=wanted.bpm)
    nothing_right = set(one.wrong) >= wanted.written.keys()
    return TimeThrough(one.wrong, told, nothing_right, right, in_tempo)


def _troubles(
    one: Pass, bars: Sequence[ReportedBar], form: Sequence[FormFinding], wanted: Asked
) -> Iterator[str]:
    """What was wrong, bar by bar, and what became of the rest."""
    faults: dict[int, list[str]] = {}
    for bar in bars:
        says = [fault.say for fault in bar.faults if fault.kind not in NOT_WRONG]
        if says:
            faults.setdefault(bar.number, []).extend(says)
    for number, says in list(faults.items())[:TOLD]:
        told = list(dict.fromkeys(says))[:TOLD]
        yield SAID["bar"].format(number=number, faults=", ".join(told))
    if len(faults) > TOLD:
        yield SAID["more"].format(bars=amount(len(faults) - TOLD, "bar"))
    lost = {bar.number for bar in bars if not bar.verdict.judged}
    if lost:
        yield SAID["lost"].format(bars=bar_numbers(lost))
    missing = set(one.wrong) - faults.keys()
    if missing:
        yield SAID["left out"].format(bars=bar_numbers(missing))
    for finding in form:
        yield FORM[finding.kind].format(bars=bar_numbers(finding.bars))
    if not one.complete:
        yield SAID["broken off"].format(number=bars[-1].number) if bars else SAID["at once"]
    elif len(faults.keys() | lost | missing) < len(wanted.written):
        yield SAID["rest"]
