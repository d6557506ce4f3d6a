"""Was the right note in the bass?

The lowest left-hand note of the first strike that the chart wants there in each span,
in any octave. Judged where the pattern has the left hand strike the bass; in a chart
without patterns in every span that the left hand plays in. The chord's root where the
chart wants another bass is the commonest mistake of this kind, and has its own word: the
harmony holds, so it costs half. A bass put right within its span costs half as well.
"""

from collections.abc import Sequence

from evaluator.chart.graph import ExpectedStrike, Span
from evaluator.judge.heard import Event, HeardBar
from evaluator.judge.names import bass_name, note_name
from evaluator.judge.over_the_bar import not_judged, over_the_bar
from evaluator.judge.pieces import WITHIN
from evaluator.judge.slips import is_brushed
from evaluator.judge.verdict import PartVerdict, SpanVerdict

HALF = 0.5
"""Score of the plain root under a chord that wants another bass, and of a bass put right."""


def judge_bass(
    heard: HeardBar, ringing: Sequence[frozenset[int]], *, has_patterns: bool, left_plays: bool
) -> PartVerdict:
    """The verdict on the bass of a played bar, over each span and in all.

    `ringing`: for each span the pitch classes that still sound from before it. `left_plays`:
    whether the left hand is heard anywhere in the take.
    """
    verdicts = []
    for index, span in enumerate(heard.bar.spans):
        left = [event for event in heard.events[index] if event.strike.hand == "left"]
        if span.bass is None or not heard.reaches(index):
            verdict = not_judged(span, "N.C." if span.bass is None else bass_name(span, heard.bar))
        elif not left and heard.plays("left") != "pattern" and span.bass in ringing[index]:
            verdict = not_judged(span, bass_name(span, heard.bar))
        elif has_patterns and heard.plays("left") != "free":
            verdict = _by_pattern(heard, index, left)
        else:
            verdict = _freely(heard, index, left, left_plays=left_plays)
        verdicts.append(verdict)
    return over_the_bar(heard.bar.spans, verdicts)


def _by_pattern(heard: HeardBar, index: int, left: Sequence[Event]) -> SpanVerdict:
    span = heard.bar.spans[index]
    wanted = [strike for strike in heard.wanted[index] if _wants_bass(strike, span)]
    if not wanted:
        return not_judged(span, bass_name(span, heard.bar))
    if left and _right(left[0], span):
        return _verdict(heard, span, left)  # whatever the pattern has first
    answers = [event for event in left if event.due in wanted]
    if answers and not _right(answers[0], span):
        # What is struck once more, before the pattern goes on, may put it right.
        answers += [event for event in left if event.due is None and event.beat > answers[0].beat]
    return _verdict(heard, span, answers or [event for event in left if event.due is None])


def _wants_bass(strike: ExpectedStrike, span: Span) -> bool:
    return strike.hand == "left" and span.bass in strike.pitch_classes


def _freely(heard: HeardBar, index: int, left: Sequence[Event], *, left_plays: bool) -> SpanVerdict:
    """Without a pattern the lowest of the span may come after a fill or an anticipation."""
    span = heard.bar.spans[index]
    if not left:
        expected = bass_name(span, heard.bar)
        if left_plays:
            return not_judged(span, expected)
        return SpanVerdict(float(span.beat), expected, "", "not played", 0.0)
    lowest = min(left, key=lambda event: event.strike.pitches[0])
    return _verdict(heard, span, [lowest] if _right(lowest, span) else left)


def _verdict(heard: HeardBar, span: Span, events: Sequence[Event]) -> SpanVerdict:
    beat, expected = float(span.beat), bass_name(span, heard.bar)
    if not events:
        return SpanVerdict(beat, expected, "", "not played", 0.0)
    # The bass of a hand that does not land at once may come after what it strikes above it.
    first = [e for e in events if e.strike.time - events[0].strike.time <= WITHIN]
    lowest = min(first, key=lambda event: event.strike.pitches[0])
    events = [lowest, *(event for event in events if event is not lowest)]
    if _right(events[0], span):
        return SpanVerdict(beat, expected, expected, "right", 1.0)
    played = events[0].strike.pitches[0] % 12
    root = span.chord is not None and played == span.chord.root.pc
    corrected = any(_right(event, span) for event in events[1:])
    return SpanVerdict(
        beat,
        expected,
        note_name(played, span, heard.bar),
        "put right" if corrected else "wrong",
        HALF if root or corrected else 0.0,
        root_for_bass=root and not corrected,
    )


def _right(event: Event, span: Span) -> bool:
    """Whether the lowest note, but for a key brushed beside it, is the bass."""
    # A brushed key lies beside one that was not: there is always a lowest of these.
    lowest = next(
        pitch
        for place, pitch in enumerate(event.strike.pitches)
        if pitch % 12 == span.bass or not is_brushed(event.strike, place, span)
    )
    return lowest % 12 == span.bass
