"""From a chart and a take to a report: in what order are the parts asked?

The data flow of the whole program in one function, value in, value out. A chart is
prepared once for all its takes.
"""

from dataclasses import dataclass, replace

from evaluator.chart import read_chart
from evaluator.chart.graph import Hand
from evaluator.excerpt.song import Song
from evaluator.excerpt.understood import Heard, Understood, understand
from evaluator.follow import Path
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import Judgement
from evaluator.practise.plan import plan
from evaluator.report.build import build_report
from evaluator.report.headline import times_through, told_apart
from evaluator.report.model import ChartFacts, Report
from evaluator.report.passes import tell_passes
from evaluator.report.sentences import REMARKS
from evaluator.take.gaps import gaps_in, told
from evaluator.take.midi_file import read_players_take
from evaluator.take.model import Take
from evaluator.take.strike import Strike, strikes


def prepare(
    chart_text: str,
    *,
    chart_file: str = "",
    hand: Hand | None = None,
    channel: int | None = None,
    bars: str | None = None,
    section: str | None = None,
) -> Song:
    """Read a chart, and choose from it what is to be graded.

    `hand` is one that alone is judged; `channel` the one, from 0, that takes are read from;
    `bars` (`21-24`) or `section` a passage to be played round and round. Raises `ChartError`
    with every mistake of the chart, `UsageError` for a hand or a passage that it does not have.
    """
    whole = Song(read_chart(chart_text, file=chart_file), chart_file, channel=channel)
    song = whole.passage(bars=bars, section=section)
    return song if hand is None else song.one_handed(hand)


@dataclass(frozen=True, slots=True, eq=False)
class Graded:
    """A take with everything that was found out about it; pages draw from all of it."""

    song: Song
    take: Take
    strikes: tuple[Strike, ...]
    path: Path
    judgement: Judgement
    report: Report


def grade_fully(
    song: Song, midi_bytes: bytes, *, take_file: str = "", rubric: Rubric = STEADY
) -> Graded:
    """Read, follow, judge and report one take. Raises `TakeError`."""
    heard = _heard(song, midi_bytes)
    found = understand(song, heard, rubric)
    report = _report(found, heard.take, take_file=take_file)
    return Graded(found.song, heard.take, heard.strikes, found.path, found.judgement, report)


def _heard(song: Song, midi_bytes: bytes) -> Heard:
    take, gaps = read_players_take(midi_bytes, channel=song.channel), gaps_in(midi_bytes)
    if gaps:
        take = replace(take, repairs=(*take.repairs, *map(told, gaps)))
    return Heard(take, strikes(take), gaps)


def _report(found: Understood, take: Take, *, take_file: str) -> Report:
    song, judgement = found.song, found.judgement
    report = build_report(
        song.graph, take, judgement, found.path, chart_file=song.file, take_file=take_file
    )
    passes = tell_passes(song.graph, judgement, found.rounds)
    several = len(passes) > 1
    return replace(
        report,
        chart=ChartFacts(song.whole.title, song.file, song.whole.count),
        take=replace(report.take, hand=song.hand),
        headline=times_through(report.marks.overall, passes) if several else report.headline,
        remarks=(*_understood_as(found), *report.remarks),
        practise=plan(song.graph, judgement, chart_file=song.file),
        passes=passes,
    )


def _understood_as(found: Understood) -> tuple[str, ...]:
    """What has to be known of how the take was understood."""
    hand = found.song.hand
    remark = REMARKS["one hand" if found.alone is None else "hand alone"].format(hand=hand)
    within = (REMARKS["within"],) if found.within else ()
    apart = (told_apart(found.apart),) if found.apart else ()
    return (*within, *apart) if hand is None else (*within, remark)


def grade_take(
    song: Song, midi_bytes: bytes, *, take_file: str = "", rubric: Rubric = STEADY
) -> Report:
    """The report alone. Raises `TakeError`."""
    return grade_fully(song, midi_bytes, take_file=take_file, rubric=rubric).report
