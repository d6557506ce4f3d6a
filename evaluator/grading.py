"""From a chart and a take to a report: in what order are the parts asked?

The data flow of the whole program in one function, value in, value out. A chart is
prepared once for all its takes.
"""

from dataclasses import dataclass, replace

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph, Hand
from evaluator.errors import TakeError
from evaluator.follow import Path, follow
from evaluator.judge import judge
from evaluator.judge.choice import in_played_patterns
from evaluator.judge.gaps import excused, unheard
from evaluator.judge.marks import mean_mark
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import Judgement
from evaluator.practise.hand import follow_hand, for_hand, heard_alone, may_be_one_hand, side_of
from evaluator.practise.passage import passage
from evaluator.practise.plan import plan
from evaluator.practise.rounds import excerpt, judge_passes, kept_of, looped
from evaluator.practise.within import goes_through_song, passage_within
from evaluator.report.build import build_report
from evaluator.report.headline import times_through
from evaluator.report.model import ChartFacts, Pass, Report
from evaluator.report.sentences import REMARKS
from evaluator.take.gaps import Gap, gaps_in, told
from evaluator.take.model import Take
from evaluator.take.sound_file import read_players_take
from evaluator.take.strike import Strike, strikes

DOUBTFUL = 75.0
"""A take of which less was right that one hand could have played is tried as one of one hand,"""
CLEARLY = 5.0
"""and is one if so much more of it is right then. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Song:
    """A chart ready to be played against."""

    graph: BarGraph
    """What is to be played: the song, or a passage of it, with the hands that are judged."""
    file: str
    facts: ChartFacts
    """Of the whole chart."""
    hand: Hand | None = None
    """The hand that alone is to be judged; None for both."""
    channel: int | None = None
    """The channel that alone is to be read, from 0; None for the player's own."""
    cut_from: "CutFrom | None" = None
    """The song, where `graph` is a passage of it, to be played as often as one likes."""


@dataclass(frozen=True, slots=True)
class CutFrom:
    """Where a passage comes from."""

    graph: BarGraph
    kept: tuple[int, ...]
    """Its bars as the song counts them."""


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
    graph = read_chart(chart_text, file=chart_file)
    facts = ChartFacts(graph.title, chart_file, graph.count)
    song = Song(graph, chart_file, facts, channel=channel)
    if bars is not None or section is not None:
        chosen = passage(graph, bars=bars, section=section)
        cut_from = CutFrom(graph, kept_of(graph, chosen))
        song = replace(song, graph=excerpt(graph, chosen), cut_from=cut_from)
    return song if hand is None else _one_handed(song, hand)


def _one_handed(song: Song, hand: Hand) -> Song:
    """The song with one hand that alone is judged."""
    whole = song.cut_from
    if whole is not None:
        whole = replace(whole, graph=for_hand(whole.graph, hand))
    return replace(song, graph=for_hand(song.graph, hand), hand=hand, cut_from=whole)


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
    take = read_players_take(midi_bytes, channel=song.channel)
    gaps = gaps_in(midi_bytes)
    if gaps:
        take = replace(take, repairs=(*take.repairs, *map(told, gaps)))
    heard = strikes(take)
    song = _in_its_patterns(song, heard, gaps)
    song, found, alone = _understood(song, take, heard, (gaps, rubric))
    report = _report(song, take, found, take_file=take_file)
    if song.hand is not None:
        remark = REMARKS["one hand" if alone is None else "hand alone"].format(hand=song.hand)
        report = replace(report, remarks=(remark, *report.remarks))
    if found.within:
        report = replace(report, remarks=(REMARKS["within"], *report.remarks))
    return Graded(song, take, heard, found.path, found.judgement, report)


def _in_its_patterns(song: Song, heard: tuple[Strike, ...], gaps: tuple[Gap, ...]) -> Song:
    """The song in those patterns, of the ones that the chart allows, that were played."""
    if song.cut_from is not None or not any(bar.others for bar in song.graph.bars):
        return song
    path = follow(song.graph, heard, gaps)
    return replace(song, graph=in_played_patterns(song.graph, path, heard))


Given = tuple[tuple[Gap, ...], Rubric]
"""What was not heard of a take, and by which yardstick it is judged."""


@dataclass(frozen=True, slots=True)
class _Found:
    """One way of understanding a take."""

    path: Path
    judgement: Judgement
    passes: tuple[Pass, ...]
    within: bool = False
    """Whether it is a take of the song in which the passage was found."""

    @property
    def right(self) -> float:
        """How much of it was right, 0 to 100; 0 for what is no take of this song."""
        judgement = self.judgement
        return mean_mark(judgement.marks, judgement.rubric) if judgement.matches else 0.0


def _understood(
    song: Song, take: Take, heard: tuple[Strike, ...], given: Given
) -> tuple[Song, _Found, Hand | None]:
    """The take as one of both hands, or of the hand that seems to have played alone."""
    try:
        found = _judged(song, take, heard, given)
    except TakeError as refusal:
        if song.hand is not None or not may_be_one_hand(song.graph, heard):
            raise
        return _understood_alone(song, take, heard, given, refusal)
    alone = None if song.hand else _played_alone(song, heard, found)
    if alone is not None:
        one_handed = _one_handed(song, alone)
        again = _judged(one_handed, take, heard, given)
        if again.right > found.right + CLEARLY:
            return one_handed, again, alone
    return song, found, alone


def _understood_alone(
    song: Song, take: Take, heard: tuple[Strike, ...], given: Given, refusal: TakeError
) -> tuple[Song, _Found, Hand | None]:
    """A passage that two hands do not seem to come to, as one hand plays it round and round."""
    alone = side_of(heard)
    one_handed = _one_handed(song, alone)
    hint = TakeError(f"{refusal} If only the {alone} hand was played in it, add --hand {alone}.")
    try:
        found = _judged(one_handed, take, heard, given)
    except TakeError:
        raise hint from refusal
    if not found.judgement.matches:
        raise hint from refusal
    return one_handed, found, alone


def _judged(
    song: Song,
    take: Take,
    heard: tuple[Strike, ...],
    given: Given,
) -> _Found:
    """Follow a take through what is to be played, and judge it."""
    way = song.graph if song.cut_from is None else looped(song.graph)
    found = _judged_on(song, take, heard, _way(song, way, heard, given), given)
    if song.cut_from is None or found.right >= DOUBTFUL:
        return found
    whole = _way(song, song.cut_from.graph, heard, given)
    if not goes_through_song(whole, song.cut_from.kept):
        return found
    within = passage_within(whole, song.graph, song.cut_from.kept)
    return replace(_judged_on(song, take, heard, within, given), within=True)


def _way(song: Song, graph: BarGraph, heard: tuple[Strike, ...], given: Given) -> Path:
    gaps = given[0]
    return unheard(follow_hand(graph, heard) if song.hand else follow(graph, heard, gaps), gaps)


def _judged_on(
    song: Song, take: Take, heard: tuple[Strike, ...], path: Path, given: Given
) -> _Found:
    """Judge a take on its path through what is to be played."""
    graph, (gaps, rubric) = song.graph, given
    judgement = judge(graph, take, heard, path, rubric=rubric, only=song.hand)
    passes: tuple[Pass, ...] = ()
    if song.cut_from is not None:
        judgement, passes = judge_passes(graph, path, judgement, seconds=take.seconds)
    return _Found(path, excused(graph, path, judgement, gaps), passes)


def _played_alone(song: Song, heard: tuple[Strike, ...], found: _Found) -> Hand | None:
    """The hand that a take seems to be of, if it is of one hand."""
    alone = heard_alone(song.graph, found.judgement)
    if alone is None and found.right < DOUBTFUL and may_be_one_hand(song.graph, heard):
        return side_of(heard)
    return alone


def _report(song: Song, take: Take, found: _Found, *, take_file: str) -> Report:
    graph, judgement = song.graph, found.judgement
    report = build_report(
        graph, take, judgement, found.path, chart_file=song.file, take_file=take_file
    )
    return replace(
        report,
        chart=song.facts,
        take=replace(report.take, hand=song.hand),
        headline=_headline(report, found),
        practise=plan(graph, judgement, chart_file=song.file),
        passes=found.passes if judgement.matches else (),
    )


def _headline(report: Report, found: _Found) -> str:
    """The sentence on all the times that a passage was played."""
    several = found.judgement.matches and len(found.passes) > 1
    return times_through(report.marks.overall, found.passes) if several else report.headline


def grade_take(
    song: Song, midi_bytes: bytes, *, take_file: str = "", rubric: Rubric = STEADY
) -> Report:
    """The report alone. Raises `TakeError`."""
    return grade_fully(song, midi_bytes, take_file=take_file, rubric=rubric).report
