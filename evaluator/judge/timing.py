"""When was each strike of the pattern due by the player's own time, and what answered it?

Rounds of the same two steps: match the expected strikes of each hand with the
played ones, in order and across bar lines; then draw the slow course of the take's time
through the pairs (`evaluator.judge.pace`). What is left is taken against the hand's own
median over the take, since a hand that is always a little ahead is how this player, or
this piano, plays. In a swung chart the off-beats are moved to the take's own ratio,
found once (1:1 to 3.5:1; Friberg and Sundstroem 2002, Music Perception 19(3)).

Units: seconds unless said otherwise.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise
from statistics import median

import numpy as np

from evaluator.chart.graph import HANDS, BarGraph, Hand
from evaluator.judge.feel import Feel, feel_of
from evaluator.judge.hands import TOGETHER, HandStrike, Late
from evaluator.judge.hard_bars import hard_places
from evaluator.judge.layout import HALT, Due, LaidBar
from evaluator.judge.matching import match
from evaluator.judge.pace import BEATS, Course, Floats, fit_course
from evaluator.judge.struck import BEHIND as BEHIND_THE_OTHER
from evaluator.judge.struck import StruckBars
from evaluator.judge.written_notes import Matched
from evaluator.judge.written_time import Onset, lateness

REACH_BEATS = 0.45
"""How far from its place a strike may lie and still answer it."""
REACH_SECONDS = 0.21
"""The same where beats are short: a fifth of a second late is late, not missed and added."""
BAR_LINE_TRUST = 0.05
"""Weight of the follower's bar line beside a matched strike: it is right to 30-60 ms."""
BEHIND = 0.100
"""Seconds by which the last bar's first strike shows that a ritard left the course behind."""
MOST_OFFSET = 0.080
"""A hand that is always later than this does not only play that way."""
OTHER_TEMPO = 1.15
"""A section that is so many times as fast or as slow has a tempo of its own."""
ROUNDS = 2
LEAST_MOMENTS = 12.0
"""Moments struck within the pace's window, on average: of fewer a late one bends the course."""
FEW = 6
"""Strikes that show a habit."""


@dataclass(frozen=True, slots=True)
class Timing:
    """Which played strike answers which expected one, and how late it came by the player's own
    tempo."""

    answers: tuple[int | None, ...]
    """For each due strike the index of the hand strike that answers it."""
    late: tuple[float, ...]
    """For each due strike the lateness of its answer; 0 where there is none."""
    starts: tuple[float, ...]
    """Time of each played bar's beginning, refined by its strikes."""
    ends: tuple[float, ...]
    hands: Late = field(default_factory=lambda: TOGETHER)
    """By how much each hand is always late, where the one is plainly behind the other."""
    swing: float | None = None
    """Long to short eighth as played; None where that was not heard."""


Answers = list[int | None]


@dataclass(frozen=True, slots=True)
class _Ensemble:
    """What is to be matched, as it stays from round to round."""

    laid: Sequence[LaidBar]
    due: Sequence[Due]
    played: Sequence[HandStrike]
    known: Mapping[int, int]
    """Answers of written notes."""
    groups: tuple[tuple[list[int], list[int]], ...]
    """Due and played indices of one hand in one stretch."""
    cuts: tuple[float, ...]
    """Places behind which the pace is taken up anew."""
    paces: tuple[float, ...]
    """Usual played seconds of a written one, in each stretch between two cuts."""
    reach: float
    """Half of the pace's window, written seconds."""
    late: Late
    """By how much each hand is always late."""


def time_strikes(graph: BarGraph, struck: StruckBars) -> Timing:
    """Find the answer to every expected strike, and how late it came. What answers written notes
    is known beforehand (`struck.matched`)."""
    laid, due, matched = struck.laid, struck.due, struck.matched
    played = matched.played
    if not due or not played:
        starts = tuple(bar.played.start for bar in laid)
        ends = tuple(bar.played.end for bar in laid)
        return Timing((None,) * len(due), (0.0,) * len(due), starts, ends)
    cuts = _cuts(laid, struck.hard)
    song = _Ensemble(
        laid,
        due,
        played,
        known=matched.answers,
        groups=_groups(struck),
        cuts=cuts,
        paces=_paces(struck, cuts),
        reach=_reach(graph, laid, due),
        late=struck.late,
    )
    answers, expected, courses, (offsets, swing) = _rounds(song, graph)
    late = _late(song, matched, answers, expected)
    starts, ends = _bar_lines(song, matched, courses, answers)
    apart = abs(offsets["left"] - offsets["right"]) >= BEHIND_THE_OTHER
    hands = offsets if apart else TOGETHER
    return Timing(tuple(answers), tuple(late), starts, ends, hands, swing)


def _late(
    song: _Ensemble, matched: Matched, answers: Answers, expected: Sequence[float]
) -> list[float]:
    """How late each answer came: written notes by their neighbours, others by the course."""
    bent: dict[float, float] = {}
    stretches: dict[int, dict[float, Onset]] = {}
    for index, one in enumerate(song.due):
        if index in matched.answers and not one.strike.adorned:
            time = matched.times[one.place]
            onset = Onset(one.place, time, on_beat=one.strike.beat.denominator == 1)
            stretches.setdefault(song.laid[one.played].stretch, {})[one.place] = onset
    for onsets in stretches.values():
        bent |= lateness(sorted(onsets.values(), key=lambda onset: onset.place))
    late = []
    waited = _behind_waits(song)
    for index, (one, answer, time) in enumerate(zip(song.due, answers, expected, strict=True)):
        own = 0.0 if answer is None else song.played[answer].time - time
        if answer is not None and index in matched.answers and one.place in bent:
            apart = song.played[answer].time - matched.times[one.place]
            own = min(own, bent[one.place] + apart, key=abs)
        if one.strike.adorned or one.strike.waits or one.place in waited:
            own = 0.0
        late.append(own)
    return late


def _behind_waits(song: _Ensemble) -> frozenset[float]:
    """The places right behind a fermata: how long it is held is the player's to say."""
    places = sorted({one.place for one in song.due})
    waits = {one.place for one in song.due if one.strike.waits}
    return frozenset(behind for before, behind in pairwise(places) if before in waits)


def _rounds(
    song: _Ensemble, graph: BarGraph
) -> tuple[Answers, list[float], tuple[Course | None, ...], tuple[Late, float | None]]:
    """Match, draw the course, match again: answers, due times, courses, and each hand's
    lateness with the swing that is played."""
    due = song.due
    offsets = dict(song.late)
    expected = [one.rough + offsets[one.strike.hand] for one in due]
    feel = feel_of(graph, song.laid, due)
    courses: tuple[Course | None, ...] = ()
    answers = _match_all(song, expected)
    for _ in range(ROUNDS):
        feel.listen(_off_beats(song, feel, answers, expected))
        shifts = [
            offsets[one.strike.hand] + feel.shift(index, one) for index, one in enumerate(due)
        ]
        courses = _courses(song, answers, shifts)
        level = _times(courses, song.cuts, [one.place for one in due])
        expected = [time + shift for time, shift in zip(level, shifts, strict=True)]
        for hand in HANDS:
            extra = _offset(song, answers, expected, hand)
            offsets[hand] += extra
            expected = [
                time + extra if one.strike.hand == hand else time
                for time, one in zip(expected, due, strict=True)
            ]
        answers = _match_all(song, expected)
    return answers, expected, courses, (offsets, feel.swing)


def _groups(struck: StruckBars) -> tuple[tuple[list[int], list[int]], ...]:
    laid, matched = struck.laid, struck.matched
    groups: dict[tuple[int, Hand], tuple[list[int], list[int]]] = {}
    # A tune above the chords has a rhythm of its own.
    played, apart = matched.played, {*matched.answers.values(), *struck.tune}
    for index, one in enumerate(struck.due):
        key = (laid[one.played].stretch, one.strike.hand)
        if index not in matched.answers:
            groups.setdefault(key, ([], []))[0].append(index)
    for index, strike in enumerate(played):
        key = (struck.stretches[index], strike.hand)
        if index not in apart:
            groups.setdefault(key, ([], []))[1].append(index)
    return tuple(
        (wanted, sorted(found, key=lambda index: played[index].time))
        for wanted, found in groups.values()
    )


def _reach(graph: BarGraph, laid: Sequence[LaidBar], due: Sequence[Due]) -> float:
    """Half of the pace's window: so many beats, or more where few strikes tell the time."""
    moments = len({one.place for one in due})
    written = sum(bar.bar.seconds for bar in laid)
    return max(BEATS * 60.0 / graph.bpm, 0.5 * LEAST_MOMENTS * written / moments)


def _cuts(laid: Sequence[LaidBar], hard: Sequence[int]) -> tuple[float, ...]:
    cuts = set()
    for before, bar in pairwise(laid):
        if bar.stretch != before.stretch:
            cuts.add(bar.place)
    for index, bar in enumerate(laid):
        if bar.played.pause >= HALT and (index or bar.played.pause_beat > 0):
            cuts.add(bar.halt_place)
    return tuple(sorted(cuts | _changes_of_tempo(laid) | hard_places(laid, hard)))


def _paces(struck: StruckBars, cuts: Sequence[float]) -> tuple[float, ...]:
    """That of the take, but for hard passages, which have their own."""
    usual = median(bar.pace for bar in struck.laid)
    hard: dict[int, list[float]] = {}
    for bar in (struck.laid[index] for index in struck.hard):
        hard.setdefault(_stretch(cuts, bar.place), []).append(bar.pace)
    return tuple(median(hard.get(number, [usual])) for number in range(len(cuts) + 1))


def _changes_of_tempo(laid: Sequence[LaidBar]) -> set[float]:
    """Places of the sections that are played at another tempo than the one before."""
    runs = [list(run) for _, run in groupby(laid, key=lambda bar: bar.bar.section_index)]
    paces = [median(bar.pace for bar in run) for run in runs]
    return {
        run[0].place
        for run, before, here in zip(runs[1:], paces, paces[1:], strict=False)
        if max(before, here) > OTHER_TEMPO * min(before, here)
    }


def _match_all(song: _Ensemble, expected: Sequence[float]) -> Answers:
    answers: Answers = [song.known.get(index) for index in range(len(song.due))]
    for wanted, found in song.groups:
        wanted = sorted(wanted, key=lambda index: expected[index])
        pairs = match(
            [expected[index] for index in wanted],
            [song.played[index].time for index in found],
            [max(REACH_SECONDS, REACH_BEATS * song.due[index].beat_seconds) for index in wanted],
        )
        for index, pair in zip(wanted, pairs, strict=True):
            answers[index] = None if pair is None else found[pair]
    return answers


def _off_beats(
    song: _Ensemble, feel: Feel, answers: Answers, expected: Sequence[float]
) -> list[float]:
    """Where in the beat the answered off-beats came."""
    return [
        feel.take + (song.played[answer].time - time) / one.beat_seconds
        for one, answer, time, off in zip(song.due, answers, expected, feel.off_beats, strict=True)
        if off and answer is not None
    ]


def _offset(song: _Ensemble, answers: Answers, expected: Sequence[float], hand: Hand) -> float:
    """How late the hand usually is, as far as that can be its way of playing."""
    found = [
        song.played[answer].time - time
        for one, answer, time in zip(song.due, answers, expected, strict=True)
        if answer is not None and one.strike.hand == hand
    ]
    return min(max(median(found), -MOST_OFFSET), MOST_OFFSET) if len(found) >= FEW else 0.0


def _courses(
    song: _Ensemble, answers: Answers, shifts: Sequence[float]
) -> tuple[Course | None, ...]:
    """The course of time of each stretch between two cuts."""
    points: list[list[tuple[float, float, float]]] = [[] for _ in range(len(song.cuts) + 1)]
    for one, answer, shift in zip(song.due, answers, shifts, strict=True):
        if answer is not None:
            time = song.played[answer].time - shift
            points[_stretch(song.cuts, one.place)].append((one.place, time, 1.0))
    for bar in song.laid:
        line = (bar.place, bar.rough_time(0.0), BAR_LINE_TRUST)
        points[_stretch(song.cuts, bar.place)].append(line)
    courses: list[Course | None] = []
    for pace, found in zip(song.paces, points, strict=True):
        found.sort()
        if not found:
            courses.append(None)
            continue
        places, times, weights = (np.array(column) for column in zip(*found, strict=True))
        courses.append(fit_course(places, times, weights, reach=song.reach, pace=pace))
    return tuple(courses)


def _stretch(cuts: Sequence[float], place: float) -> int:
    return bisect_right(cuts, place + 1e-6)


def _times(
    courses: Sequence[Course | None], cuts: Sequence[float], places: Sequence[float]
) -> list[float]:
    """Due time of each place by the course of its stretch; every place has one."""
    where: Floats = np.array(places)
    stretch = np.searchsorted(np.array(cuts), where + 1e-6, side="right")
    times = np.zeros(len(where))
    for index, course in enumerate(courses):
        inside = stretch == index
        if course is not None and inside.any():
            times[inside] = course.times(where[inside])
    found: list[float] = times.tolist()
    return found


def _bar_lines(
    song: _Ensemble, matched: Matched, courses: Sequence[Course | None], answers: Answers
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Beginning and end of each played bar; the follower's where the playing stood still."""
    refined = _times(courses, song.cuts, [bar.place for bar in song.laid])
    starts: list[float] = []
    for bar, time in zip(song.laid, refined, strict=True):
        halted = bar.played.pause >= HALT and bar.played.pause_beat < 0.01
        if bar.place in matched.times:
            time = matched.times[bar.place]
        elif halted:
            time = bar.played.start
        if bar is song.laid[-1]:
            time = _closing(song, answers, time)
        starts.append(max(time, starts[-1] + 0.01) if starts else time)
    ends = []
    for index, bar in enumerate(song.laid):
        following = song.laid[index + 1] if index + 1 < len(song.laid) else None
        joined = following is not None and following.stretch == bar.stretch
        end = starts[index + 1] if joined else bar.played.end
        ends.append(max(end, starts[index] + 0.01))
    return tuple(starts), tuple(ends)


def _closing(song: _Ensemble, answers: Answers, time: float) -> float:
    """The last bar line: where it was struck, if a ritard has left the course behind."""
    last = len(song.laid) - 1
    struck = [
        song.played[answer].time
        for one, answer in zip(song.due, answers, strict=True)
        if answer is not None and one.played == last and one.beat < 0.01
    ]
    return min(struck) if struck and min(struck) > time + BEHIND else time
