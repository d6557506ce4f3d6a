"""To which span of the chart does each strike belong?

A strike that matches an expected one belongs to the expected one's span, even if early or late.
Any other strike belongs to the span sounding at its time; just before a change of chord it may
be the next chord played early, and then belongs to whichever span its notes fit better.

Units: seconds of the take; beats of the bar from 0.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from evaluator.chart.graph import HANDS, Bar, ExpectedStrike, Hand, Span
from evaluator.judge.hands import HandStrike
from evaluator.judge.layout import LaidBar
from evaluator.judge.struck import StruckBars
from evaluator.judge.timing import Timing
from evaluator.judge.verdict import Manner

AHEAD_BEATS = 0.6
"""A chord that comes about an eighth early may be meant for the next span."""
SIXTEENTH_BEATS = 0.3
"""So close to the change, a strike that fits both spans is the next one's."""


@dataclass(frozen=True, slots=True)
class Event:
    """A strike of one hand at its place in a bar."""

    strike: HandStrike
    due: ExpectedStrike | None
    """What it answers; None if the pattern has nothing there."""
    beat: float
    """Where it was heard; below 0 if it was struck before its bar."""


@dataclass(frozen=True, slots=True)
class HeardBar:
    """What was heard in one played bar."""

    laid: LaidBar
    start: float
    end: float
    events: tuple[tuple[Event, ...], ...]
    """For each span of the bar its strikes in order of time."""
    wanted: tuple[tuple[ExpectedStrike, ...], ...]
    """For each span what the pattern wants there, as far as the bar was played."""

    @property
    def bar(self) -> Bar:
        """The bar of the chart, with the strikes of the manner in which it was played."""
        return self.laid.bar

    @property
    def beats_played(self) -> float:
        """How many beats of the bar there were: all, unless it was broken off."""
        return self.laid.played.beats_played

    def reaches(self, span: int) -> bool:
        """Whether the playing came as far as this span."""
        return self.laid.reaches(self.laid.span_beats[span])

    def plays(self, hand: Hand) -> Manner:
        """In what manner a hand plays here."""
        return self.laid.manners.get(hand, "pattern")

    def time_of(self, beat: float) -> float:
        """Seconds of the take at which a beat came, on a straight line from `start` to `end`."""
        return self.start + beat / max(self.beats_played, 0.25) * (self.end - self.start)


def hear(struck: StruckBars, timing: Timing) -> tuple[HeardBar, ...]:
    """The played bars, in order, with every hand strike in the span that it was meant for."""
    laid, due = struck.laid, struck.due
    answered = {
        answer: one for one, answer in zip(due, timing.answers, strict=True) if answer is not None
    }
    struck_by: dict[Hand, list[float]] = {
        hand: sorted(strike.time for strike in struck.played if strike.hand == hand)
        for hand in HANDS
    }
    spans: list[list[list[Event]]] = [[[] for _ in bar.bar.spans] for bar in laid]
    for index, (strike, where) in enumerate(zip(struck.played, struck.bars, strict=True)):
        one = answered.get(index)
        if one is not None:
            beat = _beat(laid, timing, one.played, strike.time)
            spans[one.played][one.strike.span].append(Event(strike, one.strike, beat))
            continue
        beat = _beat(laid, timing, where, strike.time)
        until = strike.time + 2 * SIXTEENTH_BEATS * laid[where].beat_seconds
        times = struck_by[strike.hand]
        again = bisect_right(times, until) > bisect_right(times, strike.time)
        where, span = _place(laid, (where, beat), strike, again=again)
        beat = _beat(laid, timing, where, strike.time)
        spans[where][span].append(Event(strike, None, beat))
    wanted: list[list[list[ExpectedStrike]]] = [[[] for _ in bar.bar.spans] for bar in laid]
    for one in due:
        wanted[one.played][one.strike.span].append(one.strike)
    for bar_spans in spans:
        for events in bar_spans:
            events.sort(key=lambda event: event.strike.time)
    return tuple(
        HeardBar(
            bar,
            timing.starts[index],
            timing.ends[index],
            tuple(tuple(events) for events in spans[index]),
            tuple(tuple(strikes) for strikes in wanted[index]),
        )
        for index, bar in enumerate(laid)
    )


def _beat(laid: Sequence[LaidBar], timing: Timing, index: int, time: float) -> float:
    """Where in a played bar a time lies; at the halt while it lasts."""
    played = laid[index].played
    since = (time - timing.starts[index]) / laid[index].beat_seconds
    if played.halt_within > 0 and since > played.pause_beat:
        since = max(played.pause_beat, since - played.pause / laid[index].beat_seconds)
    return since


def _place(
    laid: Sequence[LaidBar], at: tuple[int, float], strike: HandStrike, *, again: bool
) -> tuple[int, int]:
    """Bar and span of a strike that answers nothing; `at`: the bar and the beat that it is at;
    `again`: whether the hand strikes once more at once."""
    index, beat = at
    bar = laid[index].bar
    here = max(0, bisect_right(laid[index].span_beats, beat) - 1)
    following = _next_span(laid, index, here)
    if following is None:
        return index, here
    (other, place), starts = following
    ahead = starts - beat
    if ahead > AHEAD_BEATS:
        return index, here
    stay = _foreign(strike, bar.spans[here])
    go = _foreign(strike, laid[other].bar.spans[place])
    # With the next chord struck on its beat as well, what fits both was not ahead of it.
    leads = strike.hand == "left" and _is_bass(strike, laid[other].bar.spans[place])
    leads = leads and not _is_bass(strike, bar.spans[here])
    near = ahead <= SIXTEENTH_BEATS or leads
    if go < stay or (go == stay and near and not again):
        return other, place
    return index, here


def _next_span(
    laid: Sequence[LaidBar], index: int, here: int
) -> tuple[tuple[int, int], float] | None:
    """Bar and span that follow in time, and their beginning in beats of this bar."""
    bar = laid[index].bar
    if here + 1 < len(bar.spans):
        return (index, here + 1), laid[index].span_beats[here + 1]
    if index + 1 < len(laid) and laid[index + 1].stretch == laid[index].stretch:
        return (index + 1, 0), laid[index].beats
    return None


def _is_bass(strike: HandStrike, span: Span) -> bool:
    return strike.pitches[0] % 12 == span.bass


def _foreign(strike: HandStrike, span: Span) -> int:
    allowed = span.allowed
    return sum(pitch % 12 not in allowed for pitch in strike.pitches)
