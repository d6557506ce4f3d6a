"""How long did the notes sound: lengths, and what the pedal did at the changes of chord?

Length: the part of their written length for which notes that are written out are held; they
are not cut short where the pedal holds on for them, and a pattern does not say how long.
Repeats: the part of the time between two notes of one key, written to follow each other without
a rest, in which neither finger nor pedal holds the first. Blur: the time in which keys that were
let go sound on by the pedal alone although they do not belong to the chord that is there by
then. Whether pedal is wanted at all no chart says.

Units: seconds of the take; percent.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
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
FOLLOWS = 0.35
"""Share by which what is written of a note may differ from the time that passed to the next one,
which then follows without a rest: a rest is half of it, or more. Common practice, no source."""
CLIPPED = 0.5
"""Share of their written length below which a bar's notes are cut short."""
DOWN, THROUGHOUT = 90.0, 40.0
"""Percent of the time with the pedal, and of it with another chord's notes, from which on it was
hardly ever changed: with each chord changed it is down as long, and blurs next to nothing.
Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """How long notes are held, as medians in percent of the written length; None for too few
    notes."""

    staccato: float | None
    """Of notes with a dot, by the fingers."""
    sounding: float | None
    """Of the others, by the fingers or the pedal."""
    bars: tuple[int, ...]
    """Bars in which notes are cut short."""


@dataclass(frozen=True, slots=True)
class Blur:
    """Where the pedal carries the notes of one chord into the next."""

    percent: float
    """Of the time that was played."""
    seconds: float
    bars: tuple[int, ...]
    """Where, the most blurred first."""


def lengths(playing: Playing, hand: Hand) -> Lengths:
    """How long a hand holds the notes that have a written length."""
    by_bar: dict[int, list[float]] = {}
    staccato: list[float] = []
    pedal: list[tuple[float, float]] = playing.take.pedal.tolist()
    for one, strike in playing.answers[hand]:
        written = float(one.strike.beats) * one.beat_seconds
        if written <= 0.0 or one.strike.waits:
            continue
        if one.strike.short:
            # The chart has half of what is written over a staccato's dot.
            staccato.append(strike.seconds / (2 * written))
        else:
            until = _sounds_until(pedal, max(strike.ends))
            by_bar.setdefault(one.played, []).append((until - strike.time) / written)
    sounding = [share for shares in by_bar.values() for share in shares]
    short = tuple(bar for bar, shares in by_bar.items() if median(shares) < CLIPPED)
    return Lengths(
        100.0 * median(staccato) if len(staccato) >= FEW else None,
        100.0 * median(sounding) if len(sounding) >= FEW else None,
        short,
    )


def between_repeats(playing: Playing, hand: Hand) -> float | None:
    """For how much of the time from one stroke of a key to its next stroke a hand leaves it
    silent: a median, percent. None for too few of them."""
    pedal: list[tuple[float, float]] = playing.take.pedal.tolist()
    silent = []
    for (one, strike), (following, again) in pairwise(
        sorted(playing.answers[hand], key=lambda answer: answer[0].place)
    ):
        keys = set(strike.pitches) & set(again.pitches)
        to_next = again.time - strike.time
        held = float(one.strike.beats) * one.beat_seconds
        followed = abs(held - to_next) <= FOLLOWS * to_next and following.place > one.place
        if not keys or not followed or one.strike.short or one.strike.waits:
            continue
        ends = [end for end, key in zip(strike.ends, strike.pitches, strict=True) if key in keys]
        until = min(_sounds_until(pedal, max(ends)), again.time)
        silent.append((again.time - until) / to_next)
    return 100.0 * median(silent) if len(silent) >= FEW else None


def _sounds_until(pedal: Sequence[tuple[float, float]], end: float) -> float:
    """When a note falls silent; keys let go under the pedal count as held up to then."""
    at = bisect_right(pedal, end, key=itemgetter(0)) - 1
    return max(end, pedal[at][1]) if at >= 0 else end


def blur(playing: Playing) -> Blur | None:
    """Where the pedal carries the notes of one chord into the next; None for a take without
    pedal."""
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


def kept_down(blurred: float, pedal: float) -> bool:
    """Whether the pedal lay down from end to end, which is one thing and not one of some bars.

    Both are percent of the time: with another chord's notes, and with the pedal.
    """
    return pedal >= DOWN and blurred >= THROUGHOUT


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


def pedalling(playing: Playing) -> float | None:
    """Percent of the time during which the pedal was down."""
    if not playing.heard:
        return None
    begin, end = playing.heard[0].start, playing.heard[-1].end
    pedal: list[tuple[float, float]] = playing.take.pedal.tolist()
    down: float = sum(max(0.0, min(up, end) - max(at, begin)) for at, up in pedal)
    return 100.0 * down / max(end - begin, 0.1)
