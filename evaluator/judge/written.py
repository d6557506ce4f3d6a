"""Were the notes that the chart writes out the notes that were played?

Where a hand's notes are exact, its part of the verdict is strict: each of these keys, and
no other. A key may be doubled in any octave, but not replaced by another octave of it. Where
both hands are written out, `evaluator.judge.written_notes` has said which note is which.
The right hand's notes are judged as the bar's chord, the left hand's as its bass. Which
hand a key was struck with does not matter where both strike together, since one hand may
take over a note of the other.

A strike that was not answered is the rhythm's to name; a span none of whose strikes was
answered was not played. A wrong strike that is put right at once costs half. What is
struck where nothing is written is an added strike, or an ornament, and no wrong note.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean

from evaluator.chart.graph import ExpectedStrike, Hand, Span
from evaluator.judge.chord import ONE_TOO_MANY
from evaluator.judge.heard import Event, HeardBar
from evaluator.judge.inner_keys import LeftOut, mostly_struck
from evaluator.judge.names import bass_name, chord_name, flats
from evaluator.judge.over_the_bar import not_judged, over_the_bar
from evaluator.judge.slips import BESIDE, TOUCHED, is_light, left_by
from evaluator.judge.verdict import PartVerdict, SpanVerdict
from evaluator.theory.keyboard import key_text

PUT_RIGHT = 0.5
"""Score of a wrong strike behind which the right one comes at once."""
AT_ONCE = 0.75
"""Beats within which that is."""
OTHER_OCTAVE = 0.5
"""Score of a key struck in another octave than the one that is written."""
MISSING = 0.5
"""Of a key's worth, what is lost if it is missing from an interval or a chord whose other keys
are right: the ear fills in what it misses, and not what is wrong."""
TOGETHER = 0.075
"""Seconds within which both hands strike together (see `evaluator.take.strike`)."""

Keys = frozenset[int]


@dataclass(frozen=True, slots=True)
class _Answer:
    """One written strike and what was struck for it."""

    wanted: Keys
    played: Keys
    missing: Keys
    foreign: Keys
    brushed: Keys
    mute: Keys
    """The inner key that did not speak; not among the missing."""
    put_right: bool

    @property
    def score(self) -> float:
        left = left_by(self.brushed | self.mute)
        if not self.missing:
            return ONE_TOO_MANY if self.foreign else left
        if self.put_right:
            return PUT_RIGHT
        elsewhere = {key % 12 for key in self.played}
        found = sum(
            1.0 if key not in self.missing else OTHER_OCTAVE if key % 12 in elsewhere else 0.0
            for key in self.wanted
        )
        share = found / len(self.wanted)
        if len(self.wanted) == 1:
            return share
        return share * ONE_TOO_MANY if self.foreign else 1.0 - MISSING * (1.0 - share)


def judge_written(heard: HeardBar, hand: Hand, never: LeftOut = frozenset()) -> PartVerdict:
    """One hand's exact notes in a bar: its chord for the right hand, its bass for the left.

    `never`: what is left out of chords again and again.
    """
    verdicts = []
    for index, span in enumerate(heard.bar.spans):
        named = chord_name(span, heard.bar) if hand == "right" else bass_name(span, heard.bar)
        wanted = [one for one in heard.wanted[index] if one.hand == hand and one.pitches]
        if not wanted or not heard.reaches(index):
            verdicts.append(not_judged(span, named))
            continue
        answers = list(_answers(heard, index, hand, never))
        verdict = _verdict(heard, span, named, answers)
        verdicts.append(verdict)
    return over_the_bar(heard.bar.spans, verdicts)


def _answers(heard: HeardBar, index: int, hand: Hand, never: LeftOut) -> Iterator[_Answer]:
    """What was struck for each of the hand's written strikes in a span, where anything was."""
    for event in heard.events[index]:
        due = event.due
        if due is not None and due.hand == hand and due.pitches:
            yield _answer(heard, event, due, never)


def _together(heard: HeardBar, event: Event) -> Keys:
    """The keys that both hands strike with an event."""
    return frozenset(
        key
        for events in heard.events
        for other in events
        if abs(other.strike.time - event.strike.time) <= TOGETHER
        for key in other.strike.pitches
    )


def _answer(heard: HeardBar, event: Event, due: ExpectedStrike, never: LeftOut) -> _Answer:
    wanted = frozenset(due.pitches)
    at_beat = [one for one in heard.bar.strikes if one.beat == due.beat]
    every = frozenset(key for one in at_beat for key in one.pitches)
    played = _together(heard, event)
    right = {key % 12 for key in every & played}
    own = frozenset(event.strike.pitches)
    foreign = frozenset(key for key in own - every if key % 12 not in right)
    brushed = frozenset(key for key in foreign if _is_brushed(event, key, wanted))
    if heard.bar.written_out:
        # Each note has been told already; one from beside it is not this one.
        played = own
    missing = wanted - played
    mute = _mute(missing, own - every, mostly_struck(due, heard.bar, never))
    missing -= mute
    return _Answer(
        wanted=wanted,
        played=own | (wanted & played),
        missing=missing,
        foreign=foreign - brushed,
        brushed=brushed,
        mute=mute,
        put_right=bool(missing) and _is_put_right(heard, event, wanted),
    )


def _mute(missing: Keys, others: Keys, inner: Keys) -> Keys:
    """The one key inside a chord that did not speak; none where another was struck for it."""
    if len(missing) != 1 or any(abs(key - one) <= BESIDE for key in missing for one in others):
        return frozenset()
    return missing & inner


def _is_brushed(event: Event, key: int, wanted: Keys) -> bool:
    """A neighbour of a written key, softer or shorter than the rest of the strike."""
    strike = event.strike
    others = [place for place, other in enumerate(strike.pitches) if other in wanted]
    if not any(abs(strike.pitches[place] - key) <= BESIDE for place in others):
        return False
    place = strike.pitches.index(key)
    touched = strike.ends[place] - strike.time < TOUCHED
    return touched or is_light(strike, place, others)


def _is_put_right(heard: HeardBar, wrong: Event, wanted: Keys) -> bool:
    return any(
        event.due is None
        and 0 < event.beat - wrong.beat <= AT_ONCE
        and wanted <= frozenset(event.strike.pitches)
        for events in heard.events
        for event in events
    )


def _verdict(heard: HeardBar, span: Span, named: str, answers: Sequence[_Answer]) -> SpanVerdict:
    """The verdict on a span; a wrong one names the first wrong strike."""
    beat = float(span.beat)
    if not answers:
        return SpanVerdict(beat, named, "", "not played", 0.0)
    scores = [answer.score for answer in answers]
    score = fmean(scores)
    loss = math.sqrt(fmean((1.0 - one) ** 2 for one in scores))
    slips = tuple(_text(answer.brushed, heard) for answer in answers if answer.brushed)
    mute = tuple(_text(answer.mute, heard) for answer in answers if answer.mute)
    wrong = next((a for a in answers if a.foreign or (a.missing and len(a.wanted) == 1)), None)
    if wrong is not None:
        wanted = _text(wrong.missing or wrong.wanted, heard)
        played = _text(wrong.foreign or wrong.played, heard)
        return SpanVerdict(beat, wanted, played, "wrong", score, slips, loss=loss, mute=mute)
    lacking = next((answer for answer in answers if answer.missing), None)
    if lacking is not None:
        played = _text(lacking.played, heard)
        wanted = _text(lacking.wanted, heard)
        return SpanVerdict(beat, wanted, played, "incomplete", score, slips, loss=loss, mute=mute)
    return SpanVerdict(beat, named, named, "right", score, slips, loss=loss, mute=mute)


def _text(keys: Keys, heard: HeardBar) -> str:
    """Keys by name, from the lowest up: `E4 and G4`."""
    names = [key_text(key, flats=flats(heard.bar)) for key in sorted(keys)]
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
