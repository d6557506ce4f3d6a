"""How was it played, beside what was played?

Each aspect of touch is one measured number, with a mark of its own where it can be said
what would be right. They are told apart so that a student knows what to work on:

    hesitation  percent of the time lost in steps that took too long (`pulse`)
    steadiness  how the tempo over eight beats wanders (`pulse`)
    evenness    how many of the steps from strike to strike are astray (`pulse`)
    balance     the left hand's loudness against the right's (`hands`)
    tempo       against the chart's, if that asks for one
    together    the time between the hands (`hands`)
    loudness    how much that of the melody changes (`hands`)
    length      of notes that are written out, against their written one (`sound`)
    repeats     how long a melody is silent between repeated notes (`sound`)
    blur        one chord's notes held into another by the pedal (`sound`)
    pedal       how much there was of it (`sound`)
    ending      how the last bars slow down, where a ritard is written (`pulse`)

What MIDI cannot tell stays with the teacher: tone, posture, fingering, phrasing as one
hears it in the room.
"""

from collections.abc import Iterator
from dataclasses import replace
from statistics import fmean

from evaluator.chart.graph import HANDS, Hand
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.touch import hands, pulse, sound
from evaluator.judge.touch.curves import (
    COUNTED,
    CURVES,
    LENGTHS,
    PLACE,
    RITARD,
    RULES,
    SAID,
    SHADED,
    SHAPED,
)
from evaluator.judge.touch.playing import Moment, Playing, Step, answered, moments, steps
from evaluator.judge.verdict import Tempo, Touch, TouchAspect, TouchVerdict

__all__ = ["Playing", "answered", "judge_touch"]

UNITS: dict[TouchAspect, str] = {
    "hesitation": "percent of the time",
    "steadiness": "percent",
    "evenness": "percent of the steps",
    "balance": "velocity",
    "tempo": "percent",
    "together": "ms",
    "loudness": "velocity",
    "length": "percent",
    "repeats": "percent",
    "blur": "percent of the time",
    "pedal": "percent of the time",
    "ending": "percent",
}


def judge_touch(playing: Playing, tempo: Tempo, rubric: Rubric = STEADY) -> Touch:
    """Every aspect, in the order of the table above, and the mark of those that count."""
    if not any(playing.followed):
        return Touch()
    found = moments(playing)
    going = steps(playing, found)
    told = (
        *_pulse(playing, going, tempo),
        *_closing(playing, steps(playing, found, free=True)),
        *_hands(playing, found),
        *_sound(playing),
    )
    by_aspect = {one.aspect: one for one in told}
    aspects = [by_aspect.get(aspect) or _verdict(aspect, None, None) for aspect in CURVES]
    # What a rubric lets pass costs nothing, and leaves the weight of the others as it is.
    known = {
        one.aspect: one.mark if _is_counted(one.aspect, rubric) else 100.0
        for one in aspects
        if one.aspect in COUNTED and one.mark is not None
    }
    return Touch(
        mark=round(fmean(known.values()), 1) if known else None,
        counted=tuple(one for one in COUNTED if one in known and _is_counted(one, rubric)),
        aspects=tuple(aspects),
    )


def _is_counted(aspect: TouchAspect, rubric: Rubric) -> bool:
    return all(rubric.has(rule) for rule in RULES.get(aspect, ()))


def _verdict(aspect: TouchAspect, value: float | None, beyond: float | None) -> TouchVerdict:
    """`beyond` is what the curve marks; None where nobody can say what would be right."""
    mark = None if beyond is None else round(CURVES[aspect].mark(beyond), 1)
    told = None if value is None else round(value, 2)
    matters = mark is not None and mark < SAID
    return TouchVerdict(aspect, told, UNITS[aspect], mark, matters)


def _pulse(playing: Playing, going: list[Step], tempo: Tempo) -> Iterator[TouchVerdict]:
    halts = pulse.hesitations(playing, going)
    if halts is not None:
        yield replace(
            _verdict("hesitation", halts.share, halts.share),
            bars=halts.bars,
            count=halts.count,
            seconds=halts.seconds,
        )
    wander = pulse.wander(playing, going)
    uneven = pulse.unevenness(playing, going)
    if wander is not None:
        rubato = playing.written_out and uneven is not None and uneven.percent < SHAPED
        yield replace(
            _verdict("steadiness", wander.percent, None if rubato else wander.percent),
            bars=(wander.slow_bar, wander.fast_bar),
            between=(tempo.median * wander.slowest, tempo.median * wander.fastest),
        )
    if uneven is not None:
        verdict = _verdict("evenness", uneven.percent, uneven.counted)
        yield replace(verdict, bars=uneven.bars, count=uneven.hurries)
    off = 100.0 * (tempo.median / tempo.chart - 1.0)
    yield _verdict("tempo", off, abs(off) if tempo.stated else None)


def _closing(playing: Playing, every: list[Step]) -> Iterator[TouchVerdict]:
    slower = pulse.closing(playing, every)
    if slower is not None:
        asked = pulse.slackens_at_the_close(playing)
        yield _verdict("ending", slower, RITARD - slower if asked else None)


def _hands(playing: Playing, found: list[Moment]) -> Iterator[TouchVerdict]:
    balance = hands.balance(playing)
    if balance is not None:
        yield replace(_verdict("balance", balance[0], balance[0] - PLACE), bars=balance[1])
    apart = hands.apart(found, playing.late)
    if apart is not None:
        yield replace(_verdict("together", apart[0], abs(apart[0])), bars=apart[1])
    shading = hands.shading(playing)
    if shading is not None:
        yield replace(_verdict("loudness", shading, SHADED - shading), hand="right")


def _sound(playing: Playing) -> Iterator[TouchVerdict]:
    shortest, longest = LENGTHS
    lengths: list[tuple[float, bool, float, Hand, tuple[int, ...]]] = []
    for hand in HANDS:
        found = sound.lengths(playing, hand)
        if found.sounding is not None:
            off = max(0.0, shortest - found.sounding)
            lengths.append((off, False, found.sounding, hand, found.bars if off else ()))
        if found.staccato is not None:
            off = max(0.0, found.staccato - longest)
            lengths.append((off, True, found.staccato, hand, ()))
    if lengths:
        off, staccato, percent, hand, bars = max(lengths)
        verdict = _verdict("length", percent, off)
        yield replace(verdict, hand=hand, bars=bars, staccato=staccato)
    silent = sound.between_repeats(playing, "right") if hands.has_melody(playing) else None
    if silent is not None:
        yield replace(_verdict("repeats", silent, silent), hand="right")
    blur, pedal = sound.blur(playing), sound.pedalling(playing)
    if blur is not None:
        # Of written notes no chart says which of them make one harmony.
        unsure = playing.written_out and not sound.kept_down(blur.percent, pedal or 0.0)
        verdict = _verdict("blur", blur.percent, None if unsure else blur.percent)
        yield replace(verdict, bars=blur.bars)
    if pedal is not None:
        yield _verdict("pedal", pedal, None)
