"""How long did the notes sound: lengths, and what the pedal did at the changes of chord?

Length: the part of the time to the hand's next strike for which its keys are held; they are
not cut short where the pedal holds on for them. Blur: the time in which keys that were let
go sound on by the pedal alone although they do not belong to the chord that is there by
then. Whether pedal is wanted at all no chart says; but where a player takes it in most bars,
a bar without it stands out.

Units: seconds of the take; percent.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter
from statistics import median

from evaluator.chart.graph import Hand
from evaluator.judge.heard import HeardBar
from evaluator.judge.touch.playing import Playing

FEW = 8
"""Strikes, or bars, from which on a habit can be told."""
LIFTED = 0.12
"""Seconds behind a change of chord or a key's end in which the pedal may still be changed:
good pedalling changes just after the chord, not with it. Common practice, no source."""
BLURRED = 0.25
"""Seconds of blur in a bar from which on it is named."""
TAKEN = 0.7
"""Share of the bars in which a player takes the pedal who takes it as a rule."""
CLIPPED = 0.5
"""Share of the time to the next strike below which a bar's notes are cut short."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """Medians, percent of the time to the hand's next strike."""

    held: float
    """By the fingers."""
    sounding: float
    """By the fingers or the pedal."""
    bars: tuple[int, ...]
    """Bars in which notes are cut short."""


@dataclass(frozen=True, slots=True)
class Blur:
    percent: float
    """Of the time that was played."""
    seconds: float
    bars: tuple[int, ...]
    """Where, the most blurred first."""


@dataclass(frozen=True, slots=True)
class Pedalling:
    percent: float
    """Of the time during which the pedal was down."""
    as_a_rule: bool
    """It was taken in most bars, so that one without it stands out."""
    without: tuple[int, ...]
    """Bars without it, if it was taken as a rule."""
    share: float
    """Percent of the bars in which it was taken."""


def lengths(playing: Playing, hand: Hand) -> Lengths | None:
    """How long a hand holds its notes; None for too few of them."""
    places = sorted({one.place for one in playing.due if one.strike.hand == hand})
    by_bar: dict[int, list[float]] = {}
    held: list[float] = []
    pedal: list[tuple[float, float]] = playing.take.pedal.tolist()
    for one, strike in playing.answers[hand]:
        at = bisect_right(places, one.place + 1e-6)
        if at == len(places):
            continue
        bar = playing.heard[one.played].bar
        seconds = (places[at] - one.place) / bar.seconds_per_beat * one.beat_seconds
        if one.strike.beats:  # before a rest, or staccato
            seconds = min(seconds, float(one.strike.beats) * one.beat_seconds)
        held.append(strike.seconds / seconds)
        until = _sounds_until(pedal, max(strike.ends))
        by_bar.setdefault(one.played, []).append((until - strike.time) / seconds)
    if len(held) < FEW:
        return None
    sounding = median(share for shares in by_bar.values() for share in shares)
    short = tuple(bar for bar, shares in by_bar.items() if median(shares) < CLIPPED)
    return Lengths(100.0 * median(held), 100.0 * sounding, short)


def _sounds_until(pedal: Sequence[tuple[float, float]], end: float) -> float:
    """When a note falls silent; keys let go under the pedal count as held up to then."""
    at = bisect_right(pedal, end, key=itemgetter(0)) - 1
    return max(end, pedal[at][1]) if at >= 0 else end


def blur(playing: Playing) -> Blur | None:
    """Where the pedal carries one chord's notes into another; None without a pedal."""
    if not len(playing.take.pedal) or not playing.heard:
        return None
    spans, owner, allowed = _spans(playing.heard)
    pieces: list[tuple[float, float, int]] = []
    for start, end, key in _by_pedal_alone(playing):
        first = max(0, bisect_right(spans, start) - 1)
        for at in range(first, len(spans)):
            if spans[at] >= end:
                break
            until = spans[at + 1] if at + 1 < len(spans) else end
            begin = max(start, spans[at] + LIFTED)
            foreign = allowed[at] and key % 12 not in allowed[at]
            if foreign and playing.followed[owner[at]] and min(end, until) > begin:
                pieces.append((begin, min(end, until), owner[at]))
    by_bar: dict[int, float] = {}
    last = total = 0.0
    for begin, end, bar in sorted(pieces):
        seconds = end - max(begin, last)
        if seconds > 0:
            by_bar[bar] = by_bar.get(bar, 0.0) + seconds
            total += seconds
            last = end
    taken = playing.heard[-1].end - playing.heard[0].start
    worst = sorted((bar for bar in by_bar if by_bar[bar] >= BLURRED), key=lambda bar: -by_bar[bar])
    return Blur(100.0 * total / taken, total, tuple(worst))


def _spans(
    heard: Sequence[HeardBar],
) -> tuple[list[float], list[int], list[frozenset[int]]]:
    """Beginning, played bar and allowed tones of each span, in the order of playing."""
    starts, owner, allowed = [], [], []
    for index, bar in enumerate(heard):
        for span, beat in zip(bar.bar.spans, bar.laid.span_beats, strict=True):
            starts.append(bar.time_of(beat))
            owner.append(index)
            written = frozenset(
                key % 12
                for strike in bar.bar.strikes
                if bar.bar.spans[strike.span] is span
                for key in strike.pitches
                if strike.hand == "left"
            )
            allowed.append(span.allowed | written)
    return starts, owner, allowed


def _by_pedal_alone(playing: Playing) -> list[tuple[float, float, int]]:
    """Beginning, end and chart key of each note while only the pedal holds it."""
    take = playing.take
    pedal = take.pedal.tolist()
    downs = [down for down, _ in pedal]
    struck: dict[int, list[float]] = {}
    for onset, key in zip(take.onsets.tolist(), take.pitches.tolist(), strict=True):
        struck.setdefault(key, []).append(onset)
    found = []
    for key, end in zip(take.pitches.tolist(), take.offsets.tolist(), strict=True):
        at = bisect_right(downs, end) - 1
        if at < 0 or end >= pedal[at][1]:
            continue
        again = struck[key]
        following = bisect_right(again, end)
        until = min(pedal[at][1], again[following] if following < len(again) else float("inf"))
        if until > end + LIFTED:
            found.append((end + LIFTED, until, key - playing.transposed))
    return found


def pedalling(playing: Playing) -> Pedalling | None:
    """How much pedal there was, and the bars that lack it where it is the rule."""
    if not playing.heard:
        return None
    pedal = playing.take.pedal.tolist()
    begin, end = playing.heard[0].start, playing.heard[-1].end
    down = sum(max(0.0, min(up, end) - max(at, begin)) for at, up in pedal)
    ups = [up for _, up in pedal]
    with_it = []
    for bar in playing.heard:
        at = bisect_right(ups, bar.start + LIFTED)
        with_it.append(at < len(pedal) and pedal[at][0] < bar.end)
    share = sum(with_it) / len(with_it)
    rule = len(with_it) >= FEW and share >= TAKEN
    without = tuple(index for index, taken in enumerate(with_it) if not taken) if rule else ()
    return Pedalling(100.0 * down / max(end - begin, 0.1), rule, without, 100.0 * share)
