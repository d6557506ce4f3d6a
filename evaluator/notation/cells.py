"""How is one hand's bar written in a row of notes?

A column a beat; what is quicker shares its column by commas. A bar with one long note, or
with nothing, takes a single column. Places finer than a quarter of a triplet are drawn to
the nearest of those.
"""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from evaluator.chart.adorned import MOST_GRACES
from evaluator.chart.graph import Meter
from evaluator.chart.rows import HELD, MOST_TOGETHER, SILENT
from evaluator.notation.score import Tone

FINEST = 24
"""Parts of a beat that are told apart."""


def cell(tones: Sequence[Tone], meter: Meter, *, sounding: bool) -> tuple[str, ...]:
    """The columns of a bar. `sounding`: a note of the bar before may be held into this one."""
    stretches = list(_stretches(tones, meter, sounding))
    if len(stretches) == 1:
        return (stretches[0][1],)
    ends = [start for start, _ in stretches[1:]] + [Fraction(meter.beats)]
    columns = []
    for beat in range(meter.beats):
        inside = [start for start, _ in stretches if beat < start < beat + 1]
        parts = math.lcm(1, *(start.denominator for start in inside))
        signs = []
        for part in range(parts):
            at = beat + Fraction(part, parts)
            place = next(i for i, end in enumerate(ends) if at < end)
            start, sign = stretches[place]
            signs.append(sign if at == start or sign == SILENT else HELD)
        columns.append(",".join(signs))
    return tuple(columns)


def ends_sounding(tones: Sequence[Tone], meter: Meter) -> bool:
    """Whether something sounds up to the end of the bar."""
    return bool(tones) and _beats(tones[-1].offset + tones[-1].length, meter) >= meter.beats


def _stretches(
    tones: Sequence[Tone], meter: Meter, sounding: bool
) -> Iterator[tuple[Fraction, str]]:
    """Beats at which something begins, and its sign; together they fill the bar."""
    reached = Fraction(0)
    found: list[tuple[Fraction, str]] = []
    for tone in tones:
        start = min(_beats(tone.offset, meter), Fraction(meter.beats))
        end = min(_beats(tone.offset + tone.length, meter), Fraction(meter.beats))
        if start < reached or end <= start:
            continue
        if start > reached:
            found.append((reached, SILENT))
            sounding = False
        if tone.struck:
            found.append((start, _text(tone)))
            sounding = True
        elif not found or found[-1][1] == SILENT:
            found.append((start, HELD if sounding else SILENT))
        reached = end
    if reached < meter.beats:
        found.append((reached, SILENT))
    before = ""
    for start, sign in found:
        if sign != SILENT or before != SILENT:
            yield start, sign
        before = sign


def _text(tone: Tone) -> str:
    """What is struck together, with what stands around it."""
    graces, after = (
        "{" + ",".join(pitch.text for pitch in small[:MOST_GRACES]) + "}" if small else ""
        for small in (tone.graces, tone.after)
    )
    keys = "+".join(pitch.text for pitch in tone.pitches[:MOST_TOGETHER])
    return graces + keys + "".join(f"~{sign}" for sign in tone.signs) + after


def lost(tones: Sequence[Tone], meter: Meter) -> int:
    """Notes of a bar for which a row has no room: too many together, or too quick."""
    count, reached = 0, Fraction(0)
    for tone in tones:
        start = min(_beats(tone.offset, meter), Fraction(meter.beats))
        end = min(_beats(tone.offset + tone.length, meter), Fraction(meter.beats))
        if start < reached or end <= start:
            count += len(tone.pitches) if tone.struck else 0
            continue
        count += max(0, len(tone.pitches) - MOST_TOGETHER)
        reached = end
    return count


def _beats(quarters: Fraction, meter: Meter) -> Fraction:
    """A place in beats, drawn to the nearest that is told apart."""
    beats = quarters * meter.unit / 4
    return beats if beats.denominator <= FINEST else Fraction(round(beats * FINEST), FINEST)
